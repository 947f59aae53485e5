/** `fitful tune`: a table for people, figures for programs, files written and taken back, wrong calls and wrong tables. */
import { existsSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { tune } from "../../engine/command/tune.js";
import { CallFault, InputFaults, type Values } from "../../engine/command/reply.js";
import type { MinutesView } from "../../engine/learn/score/saved.js";
import type { TuningView } from "../../engine/learn/tuning.js";
import { catalog } from "../learn/small.js";
import { fitful, Folder, ROOT, STACK } from "./fitful.js";

const folder = new Folder();
const base = folder.file("lamp-box.json", catalog);
const path = (name: string) => join(folder.path, name);
const PATIENCE = 120_000;

/** Slot contacts that show two times in three, and supplies that stop dead. */
const rows = Array.from({ length: 240 }, (_, k) => {
  const isSlot = k % 3 !== 0;
  const day = `${String(1 + (k % 28)).padStart(2, "0")}.0${1 + (k % 9)}.${2022 + Math.floor(k / 80)}`;
  return `T${k};${day};${isSlot ? "Slot contact" : "rail"};6;${isSlot ? 3 + (k % 3) : 5};${isSlot ? "memory" : "dead"}`;
});
const table = folder.file(
  "past.csv",
  [
    "Ticket;Closed;Fault;Starts;Stopped;Stopped at",
    ...rows,
    "T0;01.01.2022;rail;2;2;dead",
    "T999;01.01.2022;psu;2;2;dead",
  ].join("\r\n"),
);

const call = async (files: string[], values: Values = {}) => tune(files, { catalog: base, ...values });
const view = async (files: string[], values: Values = {}) =>
  JSON.parse((await call(files, { ...values, json: true })).out) as TuningView & {
    written: string | null;
    read: { count: { strangers: unknown } }[];
  };

test(
  "prints what was read, what moved and whether it helps; writes a catalog that check is content with",
  async () => {
    const [out, rejected] = [path("tuned.json"), path("rejected.csv")];
    const said = await fitful(["tune", table, "--catalog", base, "--out", out, "--rejected", rejected]);
    expect({ err: said.err, code: said.code }).toEqual({ err: "", code: 0 });
    for (const words of [
      "240 past tickets, 240 with a confirmed cause, closed 2022-01-01 to",
      "242 rows, 2 rejected",
      "Words that name no cause: psu (1)",
      "It helps: +",
      `Written: ${out}`,
    ])
      expect(said.out).toContain(words);
    expect((await fitful(["check", out])).out).toBe(`${out}: fine (fitful/catalog@1)\n`);
    expect(readFileSync(rejected, "utf8").split("\r\n")).toEqual([
      "row,column,found,expected,Ticket,Closed,Fault,Starts,Stopped,Stopped at",
      "242,ticket,T0,a number that no earlier ticket has,T0,01.01.2022,rail,2,2,dead",
      '243,cause,psu,"a cause of the catalog, none, unlisted or unknown",T999,01.01.2022,psu,2,2,dead',
      "",
    ]);
    const back = path("back.json");
    expect((await fitful(["tune", "--undo", out, "--out", back])).code).toBe(0);
    expect(JSON.parse(readFileSync(back, "utf8"))).toEqual(catalog);
  },
  PATIENCE,
);

test("the tally it writes teaches the same shares as the rows, and is not tested on tickets left out", async () => {
  const tally = path("tally.csv");
  const fromRows = await view([table], { tally });
  const fromTally = await view([tally]);
  const shares = ({ changes }: TuningView) =>
    Object.fromEntries(changes.filter((c) => c.figure === "share").map((c) => [c.of, c.after.value]));
  for (const [id, p] of Object.entries(shares(fromRows)))
    expect(Math.abs(shares(fromTally)[id]! - p)).toBeLessThan(1e-12);
  expect(fromTally).toMatchObject({ recommended: null, calibration: null, confirmed: 240 });
});

test("asked for minutes, it works machines made after tickets left out with both catalogs", async () => {
  const { minutes } = (await view([table], { minutes: "6" })) as unknown as { minutes: MinutesView };
  expect(minutes).toMatchObject({ strategy: "planner", tickets: 6, skipped: 0 });
  const { before, after, difference } = minutes.minutes;
  expect(after - before).toBeCloseTo(difference.value, 9);
  expect(difference.low).toBeLessThan(difference.high);
  expect((await call([table], { minutes: "6" })).out).toContain(
    "The same machines worked before and after tuning, as advised",
  );
  expect(await view([table])).toMatchObject({ minutes: null });
});

test("a matching says what the table's words mean", async () => {
  const proposed = (await view([table])).read[0]!;
  expect(proposed.count.strangers).toEqual([{ word: "psu", rows: 1 }]);
  const { matching } = proposed as unknown as { matching: object };
  const file = folder.file("matching.json", { ...matching, words: { psu: "rail" } });
  expect((await view([table], { matching: file })).confirmed).toBe(241);
});

test("where the last year is unlike those before, nothing is written unless it is asked for", async () => {
  const drift = Array.from(
    { length: 200 },
    (_, k) => `${k < 150 ? "slot" : "strip"};${2022 + Math.floor(k / 50)}-0${1 + (k % 9)}-11`,
  );
  const file = folder.file("drift.csv", ["Fault;Closed", ...drift].join("\n"));
  const out = path("not-this.json");
  const refused = await call([file], { out });
  expect(refused.code).toBe(1);
  expect(refused.out).toContain("It makes things worse");
  expect(refused.out).toContain("was not written; --anyway writes it all the same");
  expect(existsSync(out)).toBe(false);
  expect((await call([file], { out, anyway: true })).code).toBe(0);
  expect(existsSync(out)).toBe(true);
});

describe("what cannot be tuned gets an answer", () => {
  const fails = async (files: string[], values: Values = {}) => {
    const error = await call(files, values).catch((e: unknown) => e);
    expect(error instanceof InputFaults || error instanceof CallFault).toBe(true);
    return (error as Error).message;
  };
  test.each<[string, string, string]>([
    [
      "an unclosed quote",
      'Fault,Note\nslot,"oops\nrail,\n',
      "row 2: found a quote that is never closed, expected a closing quote",
    ],
    [
      "no cause",
      "A,B\n1,2\n",
      "found 1 rows, 0 rejected, none with a confirmed cause; no column was taken for the cause",
    ],
    ["nothing", "", "table: found an empty file, expected a heading and rows"],
    ["no rows", "Fault,Starts\n", "table: found a heading and no rows, expected a heading and rows"],
    [
      "a tally that cannot be",
      "kind,cause,item,k,n,tickets,total,squares\ncause,psu,,,,3,,\n",
      "row 2, cause: found psu",
    ],
    ["a JSON that is no ticket", '{"format":"fitful/weighing@1"}', "format: found"],
  ])("%s", async (name, content, says) =>
    expect(await fails([folder.file(`${name}.csv`, content)])).toContain(says),
  );

  test("no file, a file that is not there, a number that is none, a matching of something else", async () => {
    expect(await fails([])).toContain("tune: found no table, expected at least one");
    expect(await fails(["/no/such.csv"])).toContain(
      "file: found no such file, expected a table of past tickets",
    );
    expect(await fails([table], { worth: "many" })).toContain("--worth: found many");
    expect(await fails([table], { matching: base })).toContain("expected a matching of columns");
    expect(await fails([base], { undo: true })).toContain(
      "tuned: found nothing, expected a catalog that was tuned",
    );
  });

  test(
    "four gigabytes of nothing end at the first megabyte, without the inside of the program",
    async () => {
      const file = path("huge.csv");
      writeFileSync(file, "");
      truncateSync(file, 4 * 2 ** 30); // takes no room: the file system knows that it is empty
      const { err, code } = await fitful(["tune", file]);
      expect(code).toBe(1);
      expect(err).toContain("row 1: found more than 1000000 characters, expected rows that end");
      expect(err).not.toMatch(STACK);
    },
    PATIENCE,
  );
});

test(
  "the demo table is made by its script from its seed, and teaches",
  async () => {
    const demo = join(ROOT, "scenarios/past-tickets/");
    const found = await view([`${demo}table.csv`], { catalog: "desktop", matching: `${demo}matching.json` });
    expect(found).toMatchObject({ recommended: true, confirmed: 1410, tickets: 2980 });
  },
  PATIENCE,
);

test("no file that is read, nor another that is written, is written over", async () => {
  const same = path("same.csv");
  writeFileSync(same, readFileSync(table));
  const refused = (values: Values) => expect(call([same], values)).rejects.toThrow(CallFault);
  await refused({ out: same });
  await refused({ rejected: join(folder.path, ".", "same.csv") });
  await refused({ tally: base });
  await refused({ out: path("x"), tally: path("x") });
  await refused({ rejected: "-" });
  expect(readFileSync(same, "utf8")).toBe(readFileSync(table, "utf8"));
});

test("rows that are all rejected say why, and what was taken for what", async () => {
  const short = folder.file("short-years.csv", "Ticket;Closed;Fault\nT1;25.01.21;rail\nT2;26.01.21;rail\n");
  const { faults } = (await call([short]).catch((error: unknown) => error)) as InputFaults;
  expect(faults.issues.map(({ message }) => message)).toEqual([
    "cause: found 2 rows, 2 rejected, none with a confirmed cause, expected at least one confirmed ticket",
    `${short}, Closed: found 2 rows with something else, expected a day such as 2025-12-31 or 31.12.2025, the day first`,
  ]);
});

test("the order of the files decides nothing", async () => {
  const undated = folder.file("undated.csv", readFileSync(table, "utf8").replaceAll(/;[\d.]{10};/g, ";;").replace("Closed", "Note").replaceAll("T", "U").replace("Uicket", "Ticket")); // prettier-ignore
  const [one, other] = [await view([table, undated]), await view([undated, table])];
  expect(one.tickets).toBe(480);
  expect(other.calibration).toEqual(one.calibration);
});

test("a backup of the bench is read for its closed tickets, and says what it left out", async () => {
  const ticket = {
    format: "fitful/ticket@1",
    id: "t-open",
    title: "Open",
    catalog,
    machine: { ...catalog.machine, ageYears: 3 },
    entries: [],
  };
  const backup = folder.file("backup.json", [{ format: "fitful/backup@1", made: "", holds: {} }, { kind: "ticket", ticket, savedAt: "" }].map((line) => JSON.stringify(line)).join("\n")); // prettier-ignore
  const { read } = (await view([table, backup])) as unknown as { read: { note: string | null }[] };
  expect(read[1]!.note).toBe(
    "a backup, 0 closed tickets taken in; 1: not closed: a record ends with a release",
  );
});

test("a table of strange headings: what was taken for what is printed, corrected and given back", async () => {
  const strange = folder.file(
    "strange.csv",
    "Nr;Was;Starts;Stopped\nT1;Weak rail;6;5\nT2;Slot contact;6;3\n",
  );
  await expect(call([strange])).rejects.toThrow(InputFaults);
  const proposed = JSON.parse((await call([strange], { propose: true })).out) as { columns: object };
  expect(proposed.columns).toEqual({ starts: "Starts", stops: "Stopped" });
  const columns = { ...proposed.columns, ticket: "Nr", cause: "Was" };
  const corrected = folder.file("corrected.json", { ...proposed, columns });
  expect((await view([strange], { matching: corrected })).tickets).toBe(2);
  await expect(call([strange, table], { propose: true })).rejects.toThrow("tune --propose: found");
});
