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
import type { Answer, Request } from "../../explorer/tuning/messages.js";
import { pastTickets } from "../../explorer/tuning/past.js";
import { Tuning, type Postable } from "../../explorer/tuning/tuning.svelte.js";
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

describe("before and after", () => {
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
  const beginning = { isTally: false, heading, rows: [], matching: proposeMatching([heading], { encoding: "utf-8", separator: "," }, spaceOf(catalog)) }; // prettier-ignore
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
