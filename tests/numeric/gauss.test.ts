import fc from "fast-check";
import { expect, test } from "vitest";
import { gaussRule, jacobiMatrix, leadingRule, type GaussRule } from "../../engine/numeric/gauss.js";

/** A measure of distinct points in [0, 1], none of them negligible. */
const measures = (points: number) =>
  fc
    .record({
      at: fc.uniqueArray(fc.integer({ min: 0, max: 1000 }), { minLength: points, maxLength: points }),
      mass: fc.array(fc.integer({ min: 1, max: 20 }), { minLength: points, maxLength: points }),
    })
    .map(({ at, mass }) => ({ at: Float64Array.from(at, (x) => x / 1000), mass: Float64Array.from(mass) }));

const moment = (at: Float64Array, mass: Float64Array, degree: number) =>
  at.reduce((sum, x, k) => sum + mass[k]! * x ** degree, 0);

const offBy = (rule: GaussRule, at: Float64Array, mass: Float64Array, degree: number) =>
  Math.abs(moment(rule.point, rule.weight, degree) / moment(at, mass, degree) - 1);

test("N points are exact for every degree to 2N − 1", () => {
  fc.assert(
    fc.property(measures(20), fc.integer({ min: 1, max: 8 }), ({ at, mass }, N) => {
      const rule = gaussRule(at, mass, N);
      for (let degree = 0; degree < 2 * N; degree++)
        expect(offBy(rule, at, mass, degree)).toBeLessThan(1e-13);
    }),
    { seed: 31, numRuns: 60 },
  );
});

test("and no further: of degree 2N they miss", () => {
  const at = Float64Array.of(0, 0.25, 0.5, 0.75, 1);
  const mass = Float64Array.of(1, 1, 1, 1, 1);
  // one point lies at the mean, 1/2: 5/4 of r² is missed by Σ (r − 1/2)² = 5/8 against Σ r² = 15/8, a third
  expect(offBy(gaussRule(at, mass, 1), at, mass, 2)).toBeCloseTo(1 / 3, 12);
  expect(offBy(gaussRule(at, mass, 2), at, mass, 4)).toBeGreaterThan(1e-3);
});

test("a measure of fewer points than are asked for comes back as it is", () => {
  const rule = gaussRule(Float64Array.of(0.9, 0.1, 0.4), Float64Array.of(3, 1, 2), 6);
  expect(rule.point).toHaveLength(3);
  [0.1, 0.4, 0.9].forEach((x, k) => expect(rule.point[k]).toBeCloseTo(x, 13));
  [1, 2, 3].forEach((w, k) => expect(rule.weight[k]).toBeCloseTo(w, 13));
});

test("points rise, weights are above 0 and add up to the mass", () => {
  fc.assert(
    fc.property(measures(30), fc.integer({ min: 1, max: 20 }), ({ at, mass }, N) => {
      const { point, weight } = gaussRule(at, mass, N);
      expect([...point]).toEqual([...point].sort((x, y) => x - y));
      expect(weight.every((w) => w > 0)).toBe(true);
      expect(weight.reduce((a, b) => a + b) / mass.reduce((a, b) => a + b)).toBeCloseTo(1, 13);
    }),
    { seed: 32, numRuns: 40 },
  );
});

test("one recurrence gives every smaller rule", () => {
  const at = Float64Array.from({ length: 40 }, (_, k) => Math.sqrt(k / 39));
  const mass = Float64Array.from(at, (x) => 1 + x);
  const matrix = jacobiMatrix(at, mass, 16);
  for (const N of [1, 5, 16]) {
    const [part, own] = [leadingRule(matrix, N), gaussRule(at, mass, N)];
    part.point.forEach((x, k) => expect(x).toBeCloseTo(own.point[k]!, 13));
    part.weight.forEach((w, k) => expect(w).toBeCloseTo(own.weight[k]!, 12));
  }
});
