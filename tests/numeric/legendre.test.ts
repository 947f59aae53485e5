import { expect, test } from "vitest";
import { integrate, legendreRule } from "../../engine/numeric/legendre.js";

test("three points are 0 and ±√(3/5), with 8/9 and 5/9", () => {
  const { point, weight } = legendreRule(3);
  [-Math.sqrt(0.6), 0, Math.sqrt(0.6)].forEach((x, k) => expect(point[k]).toBeCloseTo(x, 14));
  [5 / 9, 8 / 9, 5 / 9].forEach((w, k) => expect(weight[k]).toBeCloseTo(w, 14));
});

test("a panel is exact to degree 39: ∫₀² x³⁹ dx = 2⁴⁰ / 40", () => {
  expect(Math.abs((integrate((x) => x ** 39, [0, 2]) * 40) / 2 ** 40 - 1)).toBeLessThan(1e-13);
});

test("panels add up, whatever their widths: ∫₀³ eˣ dx = e³ − 1", () => {
  expect(integrate(Math.exp, [0, 0.01, 1, 3])).toBeCloseTo(Math.exp(3) - 1, 12);
});

test("a jump does no harm on an edge, and does elsewhere", () => {
  const jump = (x: number) => (x < 1 ? 1 : 5); // ∫₀² = 6
  expect(integrate(jump, [0, 1, 2])).toBeCloseTo(6, 13);
  expect(Math.abs(integrate(jump, [0, 1.3, 2]) - 6)).toBeGreaterThan(1e-3);
});

test("no panel, no area", () => {
  expect(integrate(Math.exp, [2])).toBe(0);
  expect(integrate(Math.exp, [])).toBe(0);
});
