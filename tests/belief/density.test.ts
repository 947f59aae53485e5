/** The density of a rate, in steps: against cases that can be worked by hand. */
import { expect, test } from "vitest";
import { runs, simpleTicket } from "../oracle/simple.js";
import { weighed } from "./weighed.js";

const rateOf = (rate: { hard: number; a: number; b: number } | { fixed: number }, stops: number, clean: number) => {
  const causes = [{ id: "it", p: 0.3, rate }];
  return weighed(simpleTicket({ causes, maxCauses: 1, entries: [runs("x", stops, clean)] })).causes[0]!.rate!;
}; // prettier-ignore

test("two stops and one clean start of Beta(1, 1) leave Beta(3, 2)", () => {
  const { density } = rateOf({ hard: 0, a: 1, b: 1 }, 2, 1);
  // P(r ≤ x) of Beta(3, 2) is 4x³ − 3x⁴
  const upTo = (x: number) => 4 * x ** 3 - 3 * x ** 4;
  density!.forEach((p, k) => expect(p).toBeCloseTo(upTo((k + 1) / 40) - upTo(k / 40), 9));
});

test("before the record it is Beta(1, 1): the same in every step", () => {
  const { densityBefore } = rateOf({ hard: 0.2, a: 1, b: 1 }, 2, 1);
  for (const p of densityBefore!) expect(p).toBeCloseTo(0.8 / 40, 9);
});

test("what a hard fault takes is left out of the steps", () => {
  const { density, hard } = rateOf({ hard: 0.5, a: 1, b: 1 }, 1, 0);
  // hard: 1/2 · 1, soft: 1/2 · E[r] = 1/4, so 2/3 of it is hard
  expect(hard).toBeCloseTo(2 / 3, 9);
  expect(density!.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1 / 3, 9);
});

test("a rate that is known lies in one step", () => {
  const { density } = rateOf({ fixed: 0.33 }, 1, 0);
  expect(density!.flatMap((p, k) => (p > 0 ? [[k, p]] : []))).toEqual([[13, 1]]);
});

test("of what is next to impossible there is no density", () => {
  // 0.85 / 2001 against 0.1 for nothing wrong: under one in a hundred
  expect(rateOf({ hard: 0, a: 1, b: 1 }, 0, 2000).density).toBeNull();
});
