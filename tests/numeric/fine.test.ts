import { describe, expect, test } from "vitest";
import { fineRule } from "../../engine/numeric/fine.js";
import { integralOf } from "./integral.js";

/** x (x + 1) … (x + n − 1) */
const rising = (x: number, n: number): number =>
  Array.from({ length: n }, (_, k) => x + k).reduce((product, factor) => product * factor, 1);

/** E[r^stops (1 − r)^clean] under Beta(a, b), as a product of one factor a start: nothing overflows. */
function recordChance(a: number, b: number, stops: number, clean: number): number {
  let chance = 1;
  for (let k = 0; k < stops + clean; k++) chance *= (k < stops ? a + k : b + k - stops) / (a + b + k);
  return chance;
}

describe("halving the step moves nothing by 1e-12", () => {
  const priors = [
    { name: "flat", hard: 0, a: 1, b: 1 },
    { name: "partly hard", hard: 0.3, a: 0.5, b: 2 },
    { name: "heaped at both ends", hard: 0.1, a: 0.05, b: 0.05 },
    { name: "mostly", hard: 0, a: 4, b: 1.5 },
    { name: "hardly ever", hard: 0.01, a: 0.7, b: 15 },
  ];
  const integrands: Record<string, (rate: number, rest: number) => number> = {
    "the mean": (rate) => rate,
    "a fractional exposure": (_, rest) => rest ** 0.3,
    "a tempered stop beside a leak of 0.001": (rate) => Math.sqrt(0.001 + rate),
    "40 stops of 200": (rate, rest) => rate ** 40 * rest ** 160,
    "200 stops of 200": (rate) => rate ** 200,
    "200 clean": (_, rest) => rest ** 200,
  };
  test.each(priors)("$name", ({ hard, a, b }) => {
    for (const [name, f] of Object.entries(integrands)) {
      const [once, halved] = [1, 2].map((finer) => integralOf(fineRule(hard, a, b, 200, finer), f));
      expect(Math.abs(once! / halved! - 1), name).toBeLessThan(1e-12);
    }
  });
});

describe("the mass and the moments of Beta and a hard point", () => {
  test.each([
    { hard: 0, a: 1, b: 1 },
    { hard: 0.25, a: 0.5, b: 2 },
    { hard: 0.9, a: 3, b: 40 },
  ])("hard $hard, Beta($a, $b)", ({ hard, a, b }) => {
    const rule = fineRule(hard, a, b, 0);
    // E[r^n] = h + (1 − h) a (a + 1) … / ((a + b)(a + b + 1) …)
    for (const n of [0, 1, 2, 5]) {
      const moment = hard + ((1 - hard) * rising(a, n)) / rising(a + b, n);
      expect(Math.abs(integralOf(rule, (r) => r ** n) - moment)).toBeLessThan(1e-13);
    }
    // a hard fault never passes: E[1 − r] = (1 − h) b / (a + b)
    expect(Math.abs(integralOf(rule, (_, s) => s) - ((1 - hard) * b) / (a + b))).toBeLessThan(1e-13);
  });
});

describe("a sharp record", () => {
  test.each([
    [0.8, 1.5, 40, 160],
    [0.5, 2, 1, 499],
    [1, 1, 200, 800],
    // against what a confident prior expects
    [30, 2, 40, 160],
    [0.7, 80, 20, 0],
    [6, 2, 0, 200],
  ])("Beta(%d, %d) keeps its digits under %d stops and %d clean starts", (a, b, stops, clean) => {
    const found = integralOf(fineRule(0, a, b, stops + clean), (r, s) =>
      Math.exp(stops * Math.log(r) + clean * Math.log(s)),
    );
    expect(Math.abs(found / recordChance(a, b, stops, clean) - 1)).toBeLessThan(1e-12);
  });

  test("is lost on a rule that was not told of it", () => {
    const found = integralOf(fineRule(0, 1, 1, 0), (r, s) => r ** 200 * s ** 800);
    expect(Math.abs(found / recordChance(1, 1, 200, 800) - 1)).toBeGreaterThan(0.01);
  });
});

test("the hard point stands last and apart, with exactly nothing left of 1 − r", () => {
  const rule = fineRule(0.3, 2, 2, 0);
  expect([rule.rate, rule.rest, rule.logRest, rule.weight].map((x) => x.at(-1))).toEqual([
    1,
    0,
    -Infinity,
    0.3,
  ]);
  expect(rule.rest.filter((s) => s === 0)).toHaveLength(1);
});

test("a fault that is hard for certain is one point, and one that never is has none", () => {
  expect([...fineRule(1, 2, 2, 0).weight]).toEqual([1]);
  expect(fineRule(0, 2, 2, 0).rest.every((s) => s > 0)).toBe(true);
});

test("1 − r is kept where r itself is rounded to 1", () => {
  const { rate, rest, logRest } = fineRule(0, 1, 0.1, 0);
  const rounded = rate.findIndex((r) => r === 1);
  expect(rounded).toBeGreaterThan(0);
  expect(rest[rounded]).toBeGreaterThan(0);
  expect(rest[rounded]).toBeLessThan(Number.EPSILON);
  expect(logRest[rounded]).toBeCloseTo(Math.log(rest[rounded]!), 10);
});
