import { expect, test } from "vitest";
import { between } from "../../engine/numeric/between.js";
import { compactRule, forwards, STRETCHED } from "../../engine/numeric/compact.js";
import { fineRule } from "../../engine/numeric/fine.js";

const places = Float64Array.from({ length: 101 }, (_, k) => k / 100);

test("with a dozen points or fewer, polynomials of their degree come back exactly, beyond the points too", () => {
  const f = (x: number) => 3 * x ** 5 - x ** 3 + 0.25;
  const points = Float64Array.of(0.03, 0.1, 0.3, 0.55, 0.8, 0.97);
  const out = between(points, points.map(f), places);
  places.forEach((x, k) => expect(Math.abs(out[k]! - f(x))).toBeLessThan(1e-13));
});

test("one point stands for all; a point given twice is taken once", () => {
  expect([...between(Float64Array.of(0.5), Float64Array.of(7), Float64Array.of(0, 1))]).toEqual([7, 7]);
  const twice = between(Float64Array.of(0, 1, 1), Float64Array.of(0, 1, 1), Float64Array.of(0.25, 1));
  expect([...twice]).toEqual([0.25, 1]);
});

test("points that only rounding holds apart are taken once: no slope is read off their last digits", () => {
  const points = Float64Array.of(0, 1e-15, 3e-15, 0.2, 0.4, 0.6, 0.8, 1);
  const out = between(
    points,
    points.map((x, k) => x * x + (k === 1 ? 1e-16 : 0)),
    places,
  );
  places.forEach((x, k) => expect(Math.abs(out[k]! - x * x)).toBeLessThan(1e-13));
});

/** Powers of 1 − r that no polynomial is, on rules of 12 to 40 points that integrate them to 1e-11. */
test.each([
  { power: 0.3, a: 5, b: 0.5 },
  { power: 0.3, a: 0.7, b: 6 },
  { power: 0.3, a: 2, b: 2 },
  { power: 0.02, a: 5, b: 0.5 },
  { power: 0.02, a: 2, b: 2 },
])("(1 − r)^$power under Beta($a, $b) is carried from few points to all to 2e-6 of its mass", (of) => {
  const f = (rest: number) => rest ** of.power;
  const { rule, variable, error } = compactRule(fineRule(0, of.a, of.b, 30), STRETCHED, Infinity, (r) => {
    const values = r.rest.map(f);
    return [{ values, within: 1e-11, scale: values }];
  });
  expect(error).toBeLessThanOrEqual(1);
  const dense = fineRule(0, of.a, of.b, 30, 4);
  const at = (r: typeof rule) => r.rate.map((rate, k) => forwards(variable, rate, r.rest[k]!));
  const out = between(at(rule), rule.rest.map(f), at(dense));
  const off = out.reduce((sum, y, k) => sum + dense.weight[k]! * Math.abs(y - f(dense.rest[k]!)), 0);
  expect(off).toBeLessThan(2e-6);
});
