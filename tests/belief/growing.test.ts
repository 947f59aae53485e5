/** A row of starts that grows start by start: rules made to hold it hold it with some more, and say what fresh ones say. */
import { expect, test } from "vitest";
import { modelOf } from "../../engine/belief/model.js";
import { prepared, startState, step } from "../../engine/belief/fold.js";
import type { Entry, Trial } from "../../engine/ticket/schema.js";
import { createWeigher } from "../../engine/weigh.js";
import { workbench } from "../bench/workbench.js";

const { catalog, ticket } = workbench(8, 0, 2);
const row = (...trials: Trial[]): Entry => ({ kind: "starts", id: "row", trials });
const clean = (n: number): Trial => ({ outcome: "clean", n });
const stops = (n: number): Trial => ({ outcome: "s1", n });

const begun = startState(modelOf(catalog, ticket));
const first = prepared(begun, row(clean(30)));

test("rules are made for a row that is longer than they hold, and hold it with some more starts", () => {
  expect(first.belief).not.toBe(begun.belief);
  for (const more of [row(clean(31)), row(clean(50)), row(clean(34), stops(4))])
    expect(prepared(first, more).belief).toBe(first.belief);
  for (const more of [row(clean(51)), row(clean(35), stops(4))])
    expect(prepared(first, more).belief).not.toBe(first.belief);
});

test("a row that says less, or stands behind it, is none that goes on", () => {
  const less = row(clean(29), stops(1));
  expect(prepared(first, less).belief).not.toBe(first.belief);
  const after = step(first, row(clean(30)));
  expect(prepared(after, row(clean(20))).belief).toBe(after.belief);
  expect(prepared(after, row(clean(31))).belief).not.toBe(after.belief);
});

test("start by start it is what it is at once", () => {
  const weigher = createWeigher(catalog);
  const saidBy = (one: ReturnType<typeof createWeigher>, n: number) => {
    const trials = Array.from({ length: n }, (_, k): Trial => ({ outcome: k % 9 === 4 ? "s1" : "clean" }));
    const answer = one.weigh({ ...ticket, entries: [row(...trials)] }, { advice: false });
    if ("issues" in answer) throw new Error(answer.issues[0]!.message);
    return answer.weighing.causes.map(({ id, present }) => [id, present.p] as const).sort();
  };
  for (let n = 1; n <= 60; n++) {
    const grown = saidBy(weigher, n);
    if (n % 10 === 0)
      saidBy(createWeigher(catalog), n).forEach(([id, p], k) => {
        expect(grown[k]![0]).toBe(id);
        expect(Math.abs(grown[k]![1] - p)).toBeLessThan(1e-9);
      });
  }
});
