/** The tuning page without a page: its rows, its charts, and its state with a worker of the test's own. */
import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import type { CalibrationView, ChangeView } from "../../engine/learn/tuning.js";
import { proposeMatching } from "../../engine/learn/table/matching.js";
import { spaceOf } from "../../engine/learn/space.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { reliability } from "../../explorer/charts/reliability.js";
import {
  reliabilityRows,
  reliabilityTable,
  saidOf,
  tunedRows,
  tunedTable,
} from "../../explorer/charts/tuned-rows.js";
import { tuned } from "../../explorer/charts/tuned.js";
import { beginningOf } from "../../engine/learn/intake.js";
import { marksOf } from "../../explorer/tuning/beginning.js";
import { listName, provenance } from "../../explorer/tuning/catalog-names.js";
import { tunedHow } from "../../explorer/tuning/how.js";
import type { Answer, Request } from "../../explorer/tuning/messages.js";
import { pastTickets } from "../../explorer/tuning/past.js";
import { Strangers } from "../../explorer/tuning/strangers.js";
import { Tuning, type Postable } from "../../explorer/tuning/tuning.svelte.js";
import { whyNothing } from "../../explorer/tuning/why-nothing.js";
import { catalog, ticket } from "./small.js";

const range = (value: number) => ({ value, low: value / 2, high: 2 * value });
const change = (of: string, figure: ChangeView["figure"], before: number, after: number): ChangeView => ({
  ...{ of, name: of, group: "part", figure, about: null, tickets: 4 },
  ...{ before: range(before), after: range(after) },
});
const changes = [
  change("cells", "share", 0.1, 0.2),
  change("rail", "share", 0.3, 0.25),
  change("clean", "minutes", 10, 14),
];

test("closed tickets of the bench are offered, open ones and practice machines are not", () => {
  const entries: Ticket["entries"] = [...ticket.entries, { kind: "release", id: "r" }];
  const closed = { ...ticket, entries };
  const practice = { version: "1", difficulty: "fitful", theme: "any", seed: 7 };
  expect(pastTickets([ticket, closed, { ...closed, practice }])).toEqual([closed]);
});

test("a tuned catalog is named by what it was tuned on, so that it is told from the one it came from", () => {
  const tuned = {
    ...{ from: { id: "small", version: "1" }, by: "fitful", tickets: 2838, confirmed: 1410, columns: {} },
    ...{ verdict: "It helps.", changes: [], first: "2021-01-07", last: "2025-12-28" },
  };
  expect(listName(catalog)).toBe("Small machine, version 1");
  expect(listName({ ...catalog, tuned })).toBe("Small machine, tuned on 2,838 tickets up to 28 Dec 2025");
  expect(listName({ ...catalog, tuned: { ...tuned, last: undefined } })).toBe("Small machine, tuned on 2,838 tickets"); // prettier-ignore
  expect(provenance(tuned)).toBe(
    "Tuned from small, version 1, on 2,838 past tickets, 1,410 of them confirmed, closed 7 Jan 2021 to 28 Dec 2025.",
  );
});

describe("how a table is written", () => {
  const space = spaceOf(catalog);
  const bytes = (text: string) => new TextEncoder().encode(text);
  const wide = (text: string) => new Uint8Array(Uint16Array.from(text, (c) => c.charCodeAt(0)).buffer);

  test("is proposed by the table, unless a person says it", () => {
    const text = "Fault;Note\ncells;a,b\ncells;c,d\n";
    expect(beginningOf(bytes(text), space, true)).toMatchObject({ heading: ["Fault", "Note"], matching: { separator: ";" } }); // prettier-ignore
    const said = beginningOf(bytes(text), space, true, { encoding: "utf-8", separator: "," });
    expect([said.heading, said.rows[0]]).toEqual([["Fault;Note"], ["cells;a", "b"]]);
  });
  test("said to be of two bytes a character, headings and rows are read as such", () => {
    const read = (encoding: "utf-8" | "utf-16le") =>
      beginningOf(wide("Fault\tN\ncells\t3\n"), space, true, { encoding });
    expect(read("utf-8").heading[0]).toBe("F\0a\0u\0l\0t\0");
    expect([read("utf-16le").heading, read("utf-16le").matching.separator]).toEqual([["Fault", "N"], "\t"]);
  });
  test("day order and decimal mark are those of the columns, whatever they are called", () => {
    const begun = beginningOf(bytes("done;took\n12/31/2025;1,5\n"), space, true);
    expect(begun.matching).toMatchObject({ days: "day-first", decimal: "." });
    const marks = marksOf(begun, { closed: "done", minutes: "took" }, catalog);
    expect([marks.days, marks.decimal]).toEqual(["month-first", ","]);
  });
});

test("strange words are those that name nothing in their column, by how many rows hold them", () => {
  const strangers = new Strangers(spaceOf(catalog), { ram: "memory" });
  const add = (column: string, found: string) => strangers.add({ row: 2, column, found, expected: "" });
  for (const found of ["bios", "post", "post", "ram", "Nothing at all"]) add("stage", found);
  add("starts", "ten");
  add("repair", `${"long ".repeat(12)}…`);
  expect(strangers.with([{ word: "weak cell", rows: 3 }]).map(({ column, word, rows }) => [column, word, rows])).toEqual([
    ["cause", "weak cell", 3], ["stage", "post", 2], ["stage", "bios", 1],
  ]); // prettier-ignore
});

test("why nothing can be learned", () => {
  const count = { rows: 4, tickets: 0, rejected: 4, reasons: [], unused: [], strangers: [] };
  const columns = { cause: "what", confirmed: "sure" };
  expect(whyNothing({ confirmed: 1, tickets: 1, count }, { columns })).toBeNull();
  expect(whyNothing({ confirmed: 0, tickets: 0, count }, { columns })).toBe("every row was rejected");
  expect(whyNothing({ confirmed: 0, tickets: 0, count: null }, null)).toBe("no ticket could be counted");
  expect(whyNothing({ confirmed: 0, tickets: 4, count }, { columns: {} })).toMatch(
    /^no column is said to hold/,
  );
  expect(whyNothing({ confirmed: 0, tickets: 4, count }, { columns })).toBe("none of 4 tickets has a confirmed cause, by what the column sure says"); // prettier-ignore
});

describe("before and after", () => {
  test("says of every kind of figure how it came about", () => {
    expect(tunedHow("event")[0]).not.toMatch(/Beta/);
    expect(tunedHow("rate")[0]).not.toMatch(/curvature/);
    expect(tunedHow("minutes").length).toBe(2);
  });
  test("two rows a figure of the kind asked for, the largest after tuning first", () => {
    const rows = tunedRows(changes, "share", 10);
    expect(rows.map(({ id, when, value }) => [id.trim(), when, value])).toEqual([
      ["rail", "before", 0.3], ["rail", "after", 0.25], ["cells", "before", 0.1], ["cells", "after", 0.2],
    ]); // prettier-ignore
    expect(tunedRows(changes, "share", 1).length).toBe(2);
    expect(tunedTable(rows, "share", "Shares").rows[0]!.map((cell) => cell.said)).toEqual(["rail", "before", "30 %", "15 %", "60 %", "4"]); // prettier-ignore
  });
  test("chances in per cent, minutes in minutes", () => {
    expect([saidOf("share")(0.012), saidOf("share")(0.34), saidOf("minutes")(14)]).toEqual([
      "1.2 %",
      "34 %",
      "14.0 min",
    ]);
  });
  test("the scale holds every interval", () => {
    expect((tuned(tunedRows(changes, "share", 10), "share", 390).x as Plot.ScaleOptions).domain).toEqual([
      0, 0.6,
    ]);
  });
});

test("reliability: the bins of both, on one square", () => {
  const bin = { forecasts: 20, forecast: 0.3, happened: 0.4, low: 0.2, high: 0.6 };
  const rows = reliabilityRows({
    before: { bins: [bin] },
    after: { bins: [bin, bin] },
  } as unknown as CalibrationView);
  expect(rows.map((r) => r.when)).toEqual(["before", "after", "after"]);
  expect(reliabilityTable(rows).rows[0]!.map((cell) => cell.said)).toEqual([
    "before",
    "20",
    "30 %",
    "40 %",
    "20 %",
    "60 %",
  ]);
  const { width, height } = reliability(rows, 900);
  expect(width).toBe(height);
});

describe("the state of the page", () => {
  /** A worker that answers what it is told to, and remembers what it was asked. */
  class Hand implements Postable {
    asked: Request[] = [];
    ended = false;
    onmessage: Worker["onmessage"] = null;
    onerror: Worker["onerror"] = null;
    postMessage = (request: Request) => void this.asked.push(request);
    terminate = () => void (this.ended = true);
    say = (data: Answer) => this.onmessage!.call(this as unknown as Worker, { data } as MessageEvent<Answer>);
  }
  const heading = ["cause", "starts", "stops"];
  const beginning = { isTally: false, heading, rows: [], isUndecided: false, matching: proposeMatching([heading], { encoding: "utf-8", separator: "," }, spaceOf(catalog)) }; // prettier-ignore
  const opened = async () => {
    const hands: Hand[] = [];
    const make = () => (hands.push(new Hand()), hands.at(-1)!);
    const tuning = new Tuning(catalog, () => [], make);
    const looked = tuning.open("t.csv", new Blob(["x"]));
    hands[0]!.say({ kind: "beginning", beginning });
    await looked;
    return { tuning, hands };
  };

  test("what was proposed can be corrected", async () => {
    const { tuning } = await opened();
    expect(tuning.matching!.columns.cause).toBe("cause");
    tuning.column("cause", null);
    tuning.column("stage", "stops");
    tuning.word("psu", "cells");
    expect(tuning.matching).toMatchObject({ columns: { stage: "stops" }, words: { psu: "cells" } });
    expect(tuning.matching!.columns.cause).toBeUndefined();
  });

  test("progress is shown; cancel ends the worker and leaves the matching", async () => {
    const { tuning, hands } = await opened();
    const reading = tuning.readTable();
    const worker = hands.at(-1)!;
    worker.say({ kind: "progress", done: 30, of: 120 });
    expect([tuning.busy, tuning.progress]).toEqual(["reading", 0.25]);
    tuning.cancel();
    await reading;
    expect([worker.ended, tuning.busy, tuning.read, tuning.cancelled]).toEqual([true, null, null, true]);
    expect(tuning.matching).not.toBeNull();
  });

  test("what is wrong with a table is shown, and a failure too", async () => {
    const { tuning, hands } = await opened();
    const reading = tuning.readTable();
    hands
      .at(-1)!
      .say({ kind: "issues", issues: [{ path: "row 2", found: "a", expected: "b", message: "m" }] });
    await reading;
    expect([tuning.busy, tuning.issues.length]).toEqual([null, 1]);
    const again = tuning.readTable();
    hands.at(-1)!.say({ kind: "failure", message: "no memory" });
    await again;
    expect([tuning.failure, tuning.issues.length]).toEqual(["no memory", 0]);
  });

  test("tickets left out that fail are told to who asked; what was read stays, and so does the page's own state", async () => {
    const { tuning, hands } = await opened();
    const asked = tuning.leaveOut(20);
    const worker = hands.at(-1)!;
    expect([tuning.busy, worker.asked.at(-1)]).toEqual(["leaving out", { kind: "leave out", wanted: 20 }]);
    worker.say({ kind: "failure", message: "no memory" });
    expect(await asked).toEqual({ failure: "no memory" });
    expect([tuning.busy, tuning.failure, worker.ended]).toEqual([null, null, false]);
    const again = tuning.leaveOut(20);
    void tuning.open("other.csv", new Blob(["x"]));
    expect(await again).toBeNull();
  });
});
