/** The same figures from rows, from tallies that were added up, and from what databases count. */
import { execFileSync, spawnSync } from "node:child_process";
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import Papa from "papaparse";
import { describe, expect, test } from "vitest";
import { fit } from "../../engine/learn/fit/fit.js";
import { Gathered } from "../../engine/learn/gather.js";
import { Intake } from "../../engine/learn/intake.js";
import type { PastTicket } from "../../engine/learn/space.js";
import { addTicket, emptyTally, sumOf, type Tally } from "../../engine/learn/tally/tally.js";
import { TALLY_COLUMNS, tallyFromRows, tallyRows, type TallyRow } from "../../engine/learn/tally/table.js";
import { cleanTickets, drawTruth, HABITS } from "../../scenarios/past-tickets/draw.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { ROOT } from "../command/fitful.js";
import { space, start } from "./small.js";

const TICKETS = 4000;
const truth = drawTruth(start, HABITS, seededUniform(5));
const tickets: PastTicket[] = [...cleanTickets(start, truth, HABITS, TICKETS, 6)];
const tally = emptyTally(space);
for (const ticket of tickets) addTicket(tally, ticket, space);

const SQL = readFileSync(join(ROOT, "engine/learn/tally/tally.sql"), "utf8");

/** The two tables that the SQL reads. */
const orNull = (x: string | number) => (x === "" || x === -1 || Number.isNaN(x) ? null : x);
const pastTickets = tickets.map((t, k) => [
  `T${k}`, orNull(t.closed), t.cause < 0 ? "" : space.causes[t.cause]!, t.onlyShown ? "shown" : "found",
  orNull(t.starts), orNull(t.stops), t.at.length > 0 ? space.stages[t.at[0]![0]]! : "",
  t.repair < 0 ? "" : space.repairs[t.repair]!, orNull(t.cured), orNull(t.minutes), orNull(t.age),
]); // prettier-ignore
const pastEvents = tickets.flatMap((t, k) => (t.events ?? []).map((e) => [`T${k}`, space.events[e]!]));
const TABLES = `
CREATE TABLE past_tickets (ticket VARCHAR(40), closed DATE, cause VARCHAR(64), how VARCHAR(8), starts INTEGER, stops INTEGER,
  stage VARCHAR(64), repair VARCHAR(64), cured INTEGER, minutes DOUBLE PRECISION, age DOUBLE PRECISION);
CREATE TABLE past_events (ticket VARCHAR(40), event VARCHAR(64));`;

/** Counts to 1e-12, means and variances of ln minutes to 1e-9. */
function expectSame(found: Tally, wanted: Tally): void {
  for (const key of ["tickets", "stops", "told", "events", "cures", "years"] as const)
    found[key].forEach((n, at) => expect(Math.abs(n - wanted[key][at]!), `${key} ${at}`).toBeLessThan(1e-12));
  expect(new Map([...found.starts].sort())).toEqual(new Map([...wanted.starts].sort()));
  expect([found.unconfirmed, found.first, found.last, found.ages[0]]).toEqual([wanted.unconfirmed, wanted.first, wanted.last, wanted.ages[0]]); // prettier-ignore
  space.repairs.forEach((_, r) => {
    const [a, b] = [found, wanted].map(({ minutes }) => {
      const [n, total, squares] = minutes.subarray(3 * r, 3 * r + 3);
      return [n!, total! / n!, squares! / n! - (total! / n!) ** 2];
    });
    a!.forEach((x, k) => expect(Math.abs(x - b![k]!)).toBeLessThan(1e-9));
  });
}

test("by hand: what two tickets count", () => {
  const two = emptyTally(space);
  addTicket(two, { ...tickets[0]!, cause: 0, starts: 5, stops: 2, at: [[1, 2]], events: [0], onlyShown: true, repair: 0, cured: 1, minutes: Math.E }, space); // prettier-ignore
  addTicket(two, { ...tickets[0]!, cause: -1 }, space);
  expect([two.tickets[0], two.unconfirmed, two.stops[1], two.events[0], two.told[0]]).toEqual([
    1, 1, 2, 1, 1,
  ]);
  expect([...two.starts]).toEqual([["0 2 5 1", 1]]);
  expect([...two.minutes.subarray(0, 1)]).toEqual([two.minutes[0]]);
  expect(two.cures[1]).toBe(1);
});

test("tallies of parts add up to the tally of the whole", () => {
  const parts = [0, 1, 2].map(() => emptyTally(space));
  tickets.forEach((ticket, k) => addTicket(parts[k % 3]!, ticket, space));
  expectSame(sumOf(parts, space), tally);
});

test("a tally written as a table is read back as it was", () => {
  const { tally: back, issues } = tallyFromRows(tallyRows(tally, space), space);
  expect(issues).toEqual([]);
  expectSame(back, tally);
});

test.each<[Partial<TallyRow>, string]>([
  [{ kind: "weights" }, "row 2, kind: found weights"],
  [{ kind: "cause", cause: "psu", tickets: "3" }, "row 2, cause: found psu"],
  [{ kind: "cause", cause: "slot", tickets: "-3" }, "row 2, tickets: found -3"],
  [{ kind: "starts", cause: "slot", item: "shown", k: "5", n: "3", tickets: "1" }, "row 2, k: found 5 of 3"],
  [{ kind: "minutes", item: "clean", tickets: "2", total: "x", squares: "1" }, "row 2, total: found x, 1"],
])("a tally row that cannot be is named: %o", (row, says) => {
  const empty = Object.fromEntries(TALLY_COLUMNS.map((c) => [c, ""])) as TallyRow;
  const { issues } = tallyFromRows([{ ...empty, ...row }], space);
  expect(issues.length).toBe(1);
  expect(issues[0]!.message).toContain(says);
});

test("confirmed tickets as rows and as a tally teach the same to the last digit that counts", () => {
  const confirmed = tickets.filter((t) => t.cause >= 0);
  const rows = new Gathered(space, false);
  confirmed.forEach((ticket, k) => rows.add(ticket, `T${k}`));
  const counted = emptyTally(space);
  for (const ticket of confirmed) addTicket(counted, ticket, space);
  const csv = Papa.unparse({ fields: [...TALLY_COLUMNS], data: tallyRows(counted, space) });
  const intake = new Intake(space);
  intake.push(new TextEncoder().encode(csv));
  expect(intake.end()).toEqual({ count: null, issues: [] });
  const [a, b] = [fit(start, rows.all()).figures, fit(start, intake.gathered!.all()).figures];
  a.shares.forEach((p, c) => expect(Math.abs(p - b.shares[c]!)).toBeLessThan(1e-12));
  a.signatures.forEach((p, at) => expect(Math.abs(p - b.signatures[at]!)).toBeLessThan(1e-12));
  a.rates.forEach((rate, c) => Object.entries(rate).forEach(([key, x]) => expect(Math.abs((x as number) / (b.rates[c] as unknown as Record<string, number>)[key]! - 1)).toBeLessThan(1e-6))); // prettier-ignore
});

describe("the SQL makes the same tally", () => {
  test("in DuckDB", async () => {
    const folder = mkdtempSync(join(tmpdir(), "fitful-duck-"));
    const connection = await (await DuckDBInstance.create(":memory:")).connect();
    try {
      await connection.run(TABLES);
      for (const [name, rows] of [
        ["past_tickets", pastTickets],
        ["past_events", pastEvents],
      ] as const) {
        const file = join(folder, `${name}.csv`);
        writeFileSync(file, Papa.unparse(rows as unknown[][]));
        await connection.run(`COPY ${name} FROM '${file}' (HEADER false, NULL '')`);
      }
      const result = await connection.runAndReadAll(SQL);
      const rows = result
        .getRowObjectsJS()
        .map(
          (row) =>
            Object.fromEntries(
              TALLY_COLUMNS.map((c) => [c, row[c] === null ? "" : String(row[c])]),
            ) as TallyRow,
        );
      const { tally: found, issues } = tallyFromRows(rows, space);
      expect(issues).toEqual([]);
      expectSame(found, tally);
    } finally {
      connection.closeSync();
      rmSync(folder, { recursive: true });
    }
  });

  const postgres = postgresFolder();
  test.skipIf(postgres === null)(
    `in PostgreSQL${postgres === null ? " (skipped: none is installed here)" : ""}`,
    () => {
      const found = throughPostgres(postgres!);
      const rows = Papa.parse(found, { header: true, skipEmptyLines: true }).data as TallyRow[];
      const { tally: counted, issues } = tallyFromRows(rows, space);
      expect(issues).toEqual([]);
      expectSame(counted, tally);
    },
  );
});

/** Debian keeps the server's programs by version. */
function postgresFolder(): string | null {
  const root = "/usr/lib/postgresql";
  const versions = existsSync(root) ? readdirSync(root).sort((x, y) => Number(y) - Number(x)) : [];
  return versions.map((v) => join(root, v, "bin")).find((bin) => existsSync(join(bin, "initdb"))) ?? null;
}

/** A server of its own on a socket of its own, ended and removed afterwards. It refuses to run as root. */
function throughPostgres(bin: string): string {
  const folder = mkdtempSync(join(tmpdir(), "fitful-pg-"));
  chmodSync(folder, 0o777);
  const data = join(folder, "data");
  const isRoot = process.getuid?.() === 0;
  if (isRoot) execFileSync("chown", ["postgres", folder]);
  const as = (program: string, args: string[], input = "") => {
    const call = [join(bin, program), ...args];
    const [first, ...rest] = isRoot
      ? ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups", ...call]
      : call;
    const { status, stdout, stderr } = spawnSync(first!, rest, {
      input,
      encoding: "utf8",
      cwd: "/",
      maxBuffer: 1 << 28,
      env: { ...process.env, HOME: folder, LC_ALL: "C" },
    });
    if (status !== 0) throw new Error(`${program}: ${stderr}`);
    return stdout;
  };
  mkdirSync(join(folder, "socket"), { mode: 0o777 });
  chmodSync(join(folder, "socket"), 0o777);
  as("initdb", ["-D", data, "-U", "fitful", "-A", "trust", "--no-sync"]);
  as("pg_ctl", ["-D", data, "-w", "-l", join(folder, "log"), "-o", `-k ${join(folder, "socket")} -c listen_addresses= -c fsync=off`, "start"]); // prettier-ignore
  try {
    const copy = (name: string, rows: unknown[][]) =>
      `COPY ${name} FROM STDIN (FORMAT csv, NULL '');\n${Papa.unparse(rows, { newline: "\n" })}\n\\.\n`;
    // an empty text stands for null here; the SQL treats both alike
    const script = `${TABLES}\n${copy("past_tickets", pastTickets)}${copy("past_events", pastEvents)}\\pset format csv\n${SQL};\n`;
    return as("psql", ["-h", join(folder, "socket"), "-U", "fitful", "-d", "postgres", "-q", "-v", "ON_ERROR_STOP=1"], script); // prettier-ignore
  } finally {
    as("pg_ctl", ["-D", data, "-m", "immediate", "stop"]);
    rmSync(folder, { recursive: true, force: true });
  }
}

describe("a tally that no tickets can have made is refused", () => {
  const heading = TALLY_COLUMNS.join();
  const issuesOf = (...rows: string[]) => {
    const intake = new Intake(space);
    intake.push(new TextEncoder().encode([heading, ...rows].join("\n") + "\n"));
    return intake.end().issues.map(({ message }) => message);
  };

  test.each([
    ["more events than tickets that are told", ["cause,slot,,,,50,,", "told,slot,,,,5,,", "event,slot,moved,,,40,,"], "slot, event moved: found 40, expected at most 5, the tickets of the cause that are told"],
    ["more counted starts than tickets", ["cause,slot,,,,5,,", "starts,slot,shown,1,4,6,,"], "slot, starts: found 6, expected at most 5, the tickets of the cause"],
    ["more stops by stage than stops", ["cause,slot,,,,5,,", "starts,slot,shown,1,4,5,,", "stops,slot,memory,,,6,,"], "slot, stops: found 6, expected at most 5, the stops of its starts"],
    ["a variance below nought", ["cause,slot,,,,5,,", "minutes,,clean,,,10,30,1"], "minutes, clean: found 10 repairs, 30 and 1, expected squares of at least total² / tickets"],
    ["more tickets than there can be", ["cause,,,,,1e300,,"], "row 2, tickets: found 1e300, expected a number from 0 to 1000000000000"],
    ["more cures than tickets", ["cause,slot,,,,5,,", "cure,slot,clean,1,,6,,"], "slot, cure clean: found 6, expected at most 5, the tickets of the cause"],
    ["machines of a thousand years", ["cause,slot,,,,5,,", "age,,,,,5,99999,"], "row 3, total: found 99999, expected years, at most 100 for each ticket"],
    ["repairs that never end", ["cause,slot,,,,5,,", "minutes,,clean,,,5,5000,5000000"], "minutes, clean: found 5 repairs, 5000 and 5000000, expected logarithms of minutes up to 100000"],
    ["a day that is none", ["cause,slot,,,,5,,", "days,,first,,,,20239999,"], "row 3, total: found 20239999, expected a day as yyyymmdd"],
  ])("%s", (_, rows, message) => expect(issuesOf(...rows)).toEqual([message])); // prettier-ignore

  test("stages alone may be told, rows of one kind may come by themselves, a blank row is none", () => {
    expect(issuesOf("cause,slot,,,,5,,", ",,,,,,,", "stops,slot,memory,,,3,,")).toEqual([]);
    expect(issuesOf("told,slot,,,,5,,", "event,slot,moved,,,3,,")).toEqual([]);
  });

  test("one that they can is not", () => {
    const rows = tallyRows(tally, space).map((row) => TALLY_COLUMNS.map((c) => row[c]).join());
    expect(issuesOf(...rows)).toEqual([]);
  });
});
