import { describe, expect, test } from "vitest";
import { compactRule, PLAIN, ruleIn, STRETCHED, type Test } from "../../engine/numeric/compact.js";
import { fineRule } from "../../engine/numeric/fine.js";
import type { Rule } from "../../engine/numeric/rule.js";
import { integralOf } from "./integral.js";

const WITHIN = 1e-10;
type Likelihood = (rate: number, rest: number) => number;

/** Tests whose errors are relative to their own integrals. */
const testsOf =
  (likelihoods: Likelihood[], within = WITHIN) =>
  (rule: Rule): Test[] =>
    likelihoods.map((f) => {
      const values = rule.rate.map((r, k) => f(r, rule.rest[k]!));
      return { values, within, scale: values };
    });

/** Likelihoods that are no polynomials in r. */
const records: { name: string; f: Likelihood }[] = [
  { name: "a tempered stop beside a leak of 0.001", f: (r) => Math.sqrt(0.001 + 0.999 * r) },
  { name: "seven tempered stops and ten clean", f: (r, s) => Math.sqrt(0.004 + 0.996 * r) ** 7 * s ** 5 },
  { name: "three stops at an exposure of 0.3", f: (_, s) => (1 - s ** 0.3) ** 3 },
  { name: "clean starts at an exposure of 1.7", f: (_, s) => s ** 6.8 },
  { name: "both", f: (r, s) => Math.sqrt(0.01 + 0.99 * r) * (1 - s ** 0.3) * s ** 2.5 },
];
const priors = [
  { hard: 0, a: 0.8, b: 1.5 },
  { hard: 0.3, a: 0.5, b: 2 },
  { hard: 0.05, a: 1, b: 6 },
];

describe.each(priors)("hard $hard, Beta($a, $b)", ({ hard, a, b }) => {
  test.each(records)("$name: few points do what a rule eight times as fine does", ({ f }) => {
    const { rule, error, size } = compactRule(fineRule(hard, a, b, 30), STRETCHED, Infinity, testsOf([f]));
    expect(error).toBeLessThanOrEqual(1);
    expect(size).toBeLessThan(fineRule(hard, a, b, 30).rate.length / 2);
    expect(Math.abs(integralOf(rule, f) / integralOf(fineRule(hard, a, b, 30, 8), f) - 1)).toBeLessThan(
      WITHIN,
    );
  });

  test("the hard point keeps a point of its own", () => {
    const { rate, rest, weight } = ruleIn(fineRule(hard, a, b, 0), STRETCHED[0]!, 8);
    expect(rate).toHaveLength(hard > 0 ? 9 : 8);
    if (hard > 0) expect([rate.at(-1), rest.at(-1), weight.at(-1)]).toEqual([1, 0, hard]);
    expect(weight.reduce((sum, w) => sum + w, 0)).toBeCloseTo(1, 13);
  });
});

test("a whole record at full trust takes exactly the points that its degree asks for", () => {
  // 4 stops and 5 clean starts: degree 9, so 5 points are exact; under a flat prior the chance is 4! 5! / 10!
  const found = compactRule(fineRule(0, 1, 1, 9), [PLAIN], 5, testsOf([(r, s) => r ** 4 * s ** 5]));
  expect(found).toMatchObject({ size: 5, variable: PLAIN, error: 0 });
  expect(Math.abs(integralOf(found.rule, (r, s) => r ** 4 * s ** 5) / (2880 / 3628800) - 1)).toBeLessThan(
    1e-12,
  );
  expect(
    Math.abs(
      integralOf(ruleIn(fineRule(0, 1, 1, 9), PLAIN, 4), (r, s) => r ** 4 * s ** 5) / (2880 / 3628800) - 1,
    ),
  ).toBeGreaterThan(1e-3);
});

test("where the search begins does not change what it finds", () => {
  const found = [6, 20, 64].map((hint) =>
    compactRule(fineRule(0.2, 0.8, 1.5, 20), STRETCHED, Infinity, testsOf([records[0]!.f]), hint),
  );
  expect(new Set(found.map((x) => x.size)).size).toBe(1);
});

test("what 96 points cannot reach is said: the error is the one that was made", () => {
  const step: Likelihood = (r) => Number(r > 0.3);
  const fine = fineRule(0, 1, 1, 0, 4);
  const { rule, error } = compactRule(fine, STRETCHED, Infinity, testsOf([step]));
  expect(error).toBeGreaterThan(1e5);
  expect(error * WITHIN).toBeCloseTo(Math.abs(integralOf(rule, step) / integralOf(fine, step) - 1), 12);
});

test("an error counts against the integral of the scale it is given", () => {
  const step: Likelihood = (r) => Number(r > 0.3);
  const scaled = (by: number) => (rule: Rule) =>
    testsOf([step])(rule).map((x) => ({ ...x, scale: x.values.map((v) => by * v) }));
  const search = (tests: (rule: Rule) => Test[]) =>
    compactRule(fineRule(0, 1, 1, 0, 4), [PLAIN], Infinity, tests).error;
  expect(search(scaled(8))).toBeCloseTo(search(scaled(1)) / 8, 3);
});

test("the error is that of the worst test, in units of its own tolerance", () => {
  const step: Likelihood = (r) => Number(r > 0.3);
  const search = (tests: (rule: Rule) => Test[]) =>
    compactRule(fineRule(0, 1, 1, 0, 4), [PLAIN], Infinity, tests).error;
  const both = search((rule) => [...testsOf([(r) => r])(rule), ...testsOf([step])(rule)]);
  expect(both).toBeCloseTo(search(testsOf([step])), 6);
  expect(search(testsOf([step], 0.5))).toBeLessThanOrEqual(1);
});
