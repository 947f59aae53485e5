/** Beta–binomial fits against published tables, and the climb they use. */
import { describe, expect, test } from "vitest";
import {
  logChance,
  logLikelihood,
  logit,
  softAt,
  type Count,
  type Point,
} from "../../engine/learn/fit/betaBinomial.js";
import { climb, spreadOf } from "../../engine/learn/fit/climb.js";
import { digamma } from "../../engine/numeric/digamma.js";
import published from "../references/beta-binomial.json";
import package_ from "../references/general-package.json";

const soft = [true, false, false] as const;
const countsOf = (rows: readonly number[][]): Count[] =>
  rows.map(([stops, starts, weight]) => ({
    stops: stops!,
    starts: starts!,
    weight: weight!,
    onlyShown: false,
  }));
/** No hard fault: h is held so close to 0 that it adds less than 1e-15. */
const NO_HARD = -40;
const fitted = (counts: Count[], from: Point = [NO_HARD, -1, 2]) =>
  climb((x) => logLikelihood(x, counts), from, soft, 200);

describe(`maximum likelihood of a and b — ${published.source}`, () => {
  test.each(published.cases)("$name", ({ a, b, rows }) => {
    const found = softAt(fitted(countsOf(rows)).at);
    // recomputed by Newton's method with 30 digits; within 1e-6 of it, relatively
    expect(Math.abs(found.a / a - 1)).toBeLessThan(1e-6);
    expect(Math.abs(found.b / b - 1)).toBeLessThan(1e-6);
  });

  test("families of 12: the printed maximum (34.09558, 31.5715) is near ours, and no better", () => {
    const counts = countsOf(published.cases[2]!.rows);
    const top = fitted(counts);
    const found = softAt(top.at);
    expect(Math.abs(found.a - 34.09558)).toBeLessThan(0.05);
    expect(Math.abs(found.b - 31.5715)).toBeLessThan(0.05);
    const printed: Point = [NO_HARD, Math.log(34.09558 / 31.5715), Math.log(34.09558 + 31.5715)];
    expect(top.value).toBeGreaterThanOrEqual(logLikelihood(printed, counts).value);
  });
});

describe(`the same fits by a general-purpose package — ${package_.made}`, () => {
  test.each(package_.fits)("$name", ({ rows, onlyShown, hard, a, b, value }) => {
    const counts = countsOf(rows).map((c) => ({ ...c, onlyShown }));
    const held = [hard === null, false, false] as const;
    const top = climb((x) => logLikelihood(x, counts), [hard === null ? NO_HARD : -1, -0.5, 1], held, 300);
    const found = softAt(top.at);
    expect(Math.abs(found.a / a - 1)).toBeLessThan(package_.within.relative);
    expect(Math.abs(found.b / b - 1)).toBeLessThan(package_.within.relative);
    if (hard !== null) expect(Math.abs(found.hard - hard)).toBeLessThan(package_.within.relative);
    expect(top.value).toBeGreaterThan(value - 1e-7);
  });

  test.each(package_.chances)("P($k of $n), h = $hard, a = $a, b = $b", ({ k, n, hard, a, b, log }) => {
    expect(Math.abs(logChance({ hard, a, b }, k, n) - log)).toBeLessThan(1e-11);
  });
});

describe("ψ — Abramowitz & Stegun chapter 6, recomputed", () => {
  test.each([
    [1, -0.577215664901532861],
    [0.5, -1.96351002602142348],
    [10, 2.25175258906672111],
  ])("ψ(%d)", (x, value) => expect(Math.abs(digamma(x) / value - 1)).toBeLessThan(1e-14));
});

test("two of three, by hand: Beta(1, 1) gives each order 1/12, a hard fault nothing", () => {
  expect(logChance({ hard: 0.4, a: 1, b: 1 }, 2, 3)).toBeCloseTo(Math.log(0.6 / 12), 12);
  expect(logChance({ hard: 0.4, a: 1, b: 1 }, 3, 3)).toBeCloseTo(Math.log(0.4 + 0.6 / 4), 12);
});

test("the gradient is that of the value", () => {
  const counts = countsOf([[0, 4, 3], [2, 5, 7], [4, 4, 2], [1, 300, 1]]).map((c, k) => ({ ...c, onlyShown: k === 1 })); // prettier-ignore
  const at: Point = [-1.2, 0.3, 0.8];
  const { gradient } = logLikelihood(at, counts);
  gradient.forEach((g, j) => {
    const moved = (d: number) =>
      logLikelihood(at.map((x, i) => (i === j ? x + d : x)) as Point, counts).value;
    expect(g).toBeCloseTo((moved(1e-6) - moved(-1e-6)) / 2e-6, 4);
  });
});

test("a ticket that could be confirmed only because it showed: fitted without that, the chance to show comes out too high", () => {
  // expected counts of r ~ Beta(1, 3), 4 starts, the quiet tickets gone: 1000 · B(1 + k, 7 − k)/B(1, 3) · (4 over k)
  const choose = [1, 4, 6, 4, 1];
  const rows = [1, 2, 3, 4].map((k) => [
    k,
    4,
    1000 * choose[k]! * Math.exp(logChance({ hard: 0, a: 1, b: 3 }, k, 4)),
  ]);
  const mean = (onlyShown: boolean) => {
    const { a, b } = softAt(fitted(countsOf(rows).map((c) => ({ ...c, onlyShown }))).at);
    return a / (a + b);
  };
  expect(mean(true)).toBeCloseTo(0.25, 4);
  expect(mean(false)).toBeGreaterThan(0.4);
});

test("a quiet ticket that could be confirmed only because it showed says nothing", () => {
  const [with_, without] = [
    [
      [0, 5, 9],
      [2, 5, 3],
    ],
    [[2, 5, 3]],
  ].map((rows) =>
    // prettier-ignore
    logLikelihood([-2, 0, 1], countsOf(rows).map((c) => ({ ...c, onlyShown: true }))),
  );
  expect(with_).toEqual(without);
});

test("the spread is that of a Gaussian around the top", () => {
  const top = climb((x) => ({ value: -(x[0] ** 2) / 2 - (x[1] - 1) ** 2 / 8 - x[2] ** 2 * 2, gradient: [-x[0], -(x[1] - 1) / 4, -4 * x[2]] }), [3, 3, 3], [false, false, false]); // prettier-ignore
  expect(top.at[1]).toBeCloseTo(1, 8);
  [1, 2, 0.5].forEach((sd, j) =>
    expect(spreadOf(top.curvature, [false, false, false])[j]).toBeCloseTo(sd, 6),
  );
  expect(logit(0.5)).toBe(0);
});

test("a climb of few steps from far away gets somewhere: steps that would lead down are shortened, not counted", () => {
  // 200 tickets that show rarely, from a start that says the contrary: full Newton steps overshoot there
  const counts = countsOf([[0, 8, 90], [0, 3, 90], [1, 9, 10], [9, 9, 10]]); // prettier-ignore
  const hill = (x: Point) => logLikelihood(x, counts);
  for (const from of [
    [-1.4, -0.7, 1.1],
    [2, 2, 3],
    [-3, 1, -1],
  ] as Point[])
    // prettier-ignore
    expect(climb(hill, from, [false, false, false], 1).value).toBeGreaterThan(hill(from).value);
});
