/**
 * Compact rules: a fine rule reduced to as few points as given test functions allow.
 *
 * Sets of two and three causes need a grid over all their rates, so each cause wants few points. A Gauss rule for the
 * fine measure is exact for polynomials in its variable. In r itself that settles whole exposures at full trust: the
 * likelihood of n starts has degree n. A tempered stop (α + r)^½ with α near the leak, and a fractional exposure with
 * (1 − r)^0.3, are no polynomials, but nearly so in
 *   u = ln(r + near) − ln(1 − r + far),
 * which opens the scales of r above `near` and of 1 − r above `far` (∞: no stretch at that end). The smallest rule and
 * the best variable are found by trying: the error on every test function is measured against the fine rule.
 */
import { gaussRule } from "./gauss.js";
import type { Rule } from "./rule.js";

export interface Variable {
  near: number;
  far: number;
}

export const PLAIN: Variable = { near: Infinity, far: Infinity };

/** Tried in this order at each size. */
export const STRETCHED: Variable[] = [
  { near: 0.1, far: Infinity },
  { near: 0.01, far: Infinity },
  { near: 0.001, far: Infinity },
  { near: 0.01, far: 1e-3 },
  { near: 0.01, far: 1e-7 },
  { near: 0.001, far: 1e-7 },
  PLAIN,
];

const SIZES = [6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 28, 32, 40, 48, 64, 96];

export interface Compact {
  rule: Rule;
  /** the variable in which it is a Gauss rule */
  variable: Variable;
  /** largest relative error over the test functions */
  error: number;
}

/** Values of every test function on the points of a rule. */
export type Tests = (rule: Rule) => Float64Array[];

/**
 * The smallest Gauss rule whose error on every test is at most `within`, relative to the test's own integral.
 *
 * @param fine   the measure; a hard point at r = 1 keeps a point of its own
 * @param exact  points at which the rule in r is exact by its degree, ∞ where no degree is
 * @returns the rule and the error measured; above `within` only where 96 points do not reach it
 */
export function compactRule(fine: Rule, variables: readonly Variable[], exact: number, tests: Tests, within: number): Compact {
  const wanted = tests(fine).map((values) => integral(fine, values));
  let best: Compact | null = null;
  for (const size of SIZES.filter((n) => n < exact)) {
    for (const variable of variables) {
      const rule = gaussIn(fine, variable, size);
      const error = Math.max(0, ...tests(rule).map((values, k) => relativeError(integral(rule, values), wanted[k]!)));
      if (error <= within) return { rule, variable, error };
      if (best === null || !(error >= best.error)) best = { rule, variable, error };
    }
  }
  return exact < Infinity ? { rule: gaussIn(fine, PLAIN, exact), variable: PLAIN, error: 0 } : best!;
}

const relativeError = (found: number, wanted: number) => (found === wanted ? 0 : Math.abs(found / wanted - 1));

function integral(rule: Rule, values: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += rule.weight[k]! * values[k]!;
  return sum;
}

/** The Gauss rule of `size` points in a variable; the hard point is kept apart. */
export function gaussIn(fine: Rule, variable: Variable, size: number): Rule {
  const soft = fine.rest.findIndex((s) => s === 0);
  const end = soft < 0 ? fine.rate.length : soft;
  const hard = soft < 0 ? 0 : fine.weight[soft]!;
  const at = new Float64Array(end);
  for (let k = 0; k < end; k++) at[k] = forwards(variable, fine.rate[k]!, fine.rest[k]!);
  const { point, weight } = gaussRule(at, fine.weight.subarray(0, end), Math.min(size, end));
  const count = point.length + (hard > 0 ? 1 : 0);
  const rule: Rule = {
    rate: new Float64Array(count),
    rest: new Float64Array(count),
    logRest: new Float64Array(count),
    weight: new Float64Array(count),
  };
  for (let k = 0; k < count; k++) {
    const { rate, rest } = k < point.length ? backwards(variable, point[k]!) : { rate: 1, rest: 0 };
    rule.rate[k] = rate;
    rule.rest[k] = rest;
    rule.logRest[k] = Math.log(rest);
    rule.weight[k] = k < point.length ? weight[k]! : hard;
  }
  return rule;
}

export function forwards({ near, far }: Variable, rate: number, rest: number): number {
  if (near === Infinity && far === Infinity) return rate;
  return (near === Infinity ? 0 : Math.log(rate + near)) - (far === Infinity ? 0 : Math.log(rest + far));
}

/** r and 1 − r of a point; rounding may step over an end by an ulp, where the integrand is flat. */
function backwards({ near, far }: Variable, u: number): { rate: number; rest: number } {
  const between = (x: number) => Math.min(1, Math.max(0, x));
  if (near === Infinity && far === Infinity) return { rate: between(u), rest: between(1 - u) };
  if (far === Infinity) {
    const rate = between(Math.exp(u) - near);
    return { rate, rest: 1 - rate };
  }
  if (near === Infinity) {
    const rest = between(Math.exp(-u) - far);
    return { rate: 1 - rest, rest };
  }
  const e = Math.exp(u);
  return { rate: between((e * (1 + far) - near) / (1 + e)), rest: between((1 + near - e * far) / (1 + e)) };
}
