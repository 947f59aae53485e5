import { describe, expect, test } from "vitest";
import { below, quantile, tableOf } from "../../engine/numeric/cumulative.js";
import { fineRule } from "../../engine/numeric/fine.js";
import { DENSITY } from "../../engine/belief/rates.js";

/** Betas whose distribution functions are elementary. */
const closed = [
  { a: 1, b: 1, F: (r: number) => r },
  { a: 2.5, b: 1, F: (r: number) => r ** 2.5 },
  { a: 1, b: 3, F: (r: number) => 1 - (1 - r) ** 3 },
  { a: 2, b: 2, F: (r: number) => 3 * r ** 2 - 2 * r ** 3 },
  { a: 0.5, b: 0.5, F: (r: number) => (2 / Math.PI) * Math.asin(Math.sqrt(r)) },
];
const TAILS = [0.001, 0.05, 0.3, 0.5, 0.9, 0.95, 0.999];

/** The rule as beliefs lay it, with the tails in mind. */
const table = (hard: number, a: number, b: number) => tableOf(fineRule(hard, a, b, 0, DENSITY));

describe.each(closed)("Beta($a, $b)", ({ a, b, F }) => {
  test("P(below r) is the closed form's", () => {
    for (let r = 0.003; r < 1; r += 0.0137)
      expect(Math.abs(below(table(0, a, b), r) - F(r))).toBeLessThan(1e-9);
  });

  test("a quantile cuts off what it says", () => {
    for (const p of TAILS) expect(Math.abs(F(quantile(table(0, a, b), p)) - p)).toBeLessThan(1e-9);
  });

  test("with a hard share of 0.3 the soft part is shrunk to 0.7, and past it every quantile is 1", () => {
    const cut = table(0.3, a, b);
    for (const p of TAILS)
      if (p > 0.7) expect(quantile(cut, p)).toBe(1);
      else expect(Math.abs(0.7 * F(quantile(cut, p)) - p)).toBeLessThan(1e-9);
    expect(Math.abs(below(cut, 0.999999) - 0.7 * F(0.999999))).toBeLessThan(1e-9);
  });
});

test("quantiles rise with p", () => {
  const cut = table(0.1, 0.4, 3);
  const points = Array.from({ length: 99 }, (_, k) => quantile(cut, (k + 1) / 100));
  for (let k = 1; k < points.length; k++) expect(points[k]).toBeGreaterThanOrEqual(points[k - 1]!);
  expect(points.at(-1)).toBe(1);
});

test("a hard fault for certain has all its quantiles at 1", () => {
  expect(quantile(table(1, 2, 2), 0.05)).toBe(1);
});
