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
import { Lanczos, leadingRule, type Recurrence } from "./gauss.js";
import type { Rule } from "./rule.js";

export interface Variable {
  near: number;
  far: number;
}

export const PLAIN: Variable = { near: Infinity, far: Infinity };

/** For a leak of 0 under tempered stops, and for exposures near 0 where the prior crowds at 1. */
const EXTREME: Variable[] = [
  { near: 0.01, far: 1e-30 },
  { near: 1e-14, far: 1e-3 },
  { near: 1e-14, far: 1e-30 },
];

/** Tried in this order at each size: the first serves most records. */
export const STRETCHED: Variable[] = [
  { near: 0.01, far: 1e-3 },
  { near: 0.01, far: Infinity },
  { near: 0.1, far: Infinity },
  { near: 0.01, far: 1e-7 },
  { near: 0.01, far: 1e-14 },
  { near: 0.001, far: 1e-7 },
  ...EXTREME,
];

const SIZES = [6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 28, 32, 36, 40, 48, 64, 96];
const LARGEST = 96;
/** Below, the variables for scales of their own are not worth trying. */
const FROM_SIZE = 40;
/** Where the search begins when nothing is known. */
const START = 20;

export interface Compact {
  rule: Rule;
  /** the variable in which it is a Gauss rule, its number of points without the hard one, and their recurrence */
  variable: Variable;
  size: number;
  recurrence: Recurrence;
  /** largest error over the test functions, in units of their tolerances */
  error: number;
}

/** A test function on the points of a rule, and the error it may have relative to the integral of `scale`. */
export interface Test {
  values: Float64Array;
  within: number;
  scale: Float64Array;
}

/** In an order of their own, the same for every rule. */
export type Tests = (rule: Rule) => Iterable<Test>;

/**
 * A small Gauss rule whose error on every test is within the test's tolerance.
 *
 * The search begins at `hint` points (what served the record so far), goes up until some variable serves, then down while
 * one still does.
 *
 * @param fine   the measure; a hard point at r = 1 keeps a point of its own
 * @param exact  points at which the rule in r is exact by its degree, ∞ where no degree is
 * @returns the rule and its error in units of the tolerance; above 1 only where 96 points do not reach it
 */
export function compactRule(
  fine: Rule,
  variables: readonly Variable[],
  exact: number,
  tests: Tests,
  hint = START,
): Compact {
  const wanted = Array.from(tests(fine), ({ values, scale }) => ({
    value: integral(fine, values),
    scale: integral(fine, scale),
  }));
  const measures = new Map<Variable, Lanczos>();
  const attempt = (variable: Variable, size: number): Compact => {
    let measure = measures.get(variable);
    if (!measure) measures.set(variable, (measure = lanczosIn(fine, variable)));
    const recurrence = measure.upTo(size);
    const rule = ruleOf(fine, variable, recurrence, size);
    let [error, t] = [0, 0];
    for (const { values, within } of tests(rule)) {
      const { value, scale } = wanted[t++]!;
      const off = Math.abs(integral(rule, values) - value);
      if (off !== 0) error = Math.max(error, off / scale / within);
      // one failure is enough, unless the best of the failures will have to do
      if (!(error <= 1) && size < LARGEST) break;
    }
    return { rule, variable, size, recurrence, error };
  };
  const sizes = SIZES.filter((n) => n < exact);
  const best = (size: number) =>
    firstWithin(
      variables
        .filter((variable) => size >= FROM_SIZE || !EXTREME.includes(variable))
        .map((variable) => () => attempt(variable, size)),
    );
  let at = Math.max(
    0,
    sizes.findLastIndex((n) => n <= hint),
  );
  let found = sizes.length > 0 ? best(sizes[at]!) : null;
  while (found && !(found.error <= 1) && at + 1 < sizes.length) found = better(found, best(sizes[++at]!));
  if (found && found.error <= 1) {
    for (
      let next = at > 0 ? best(sizes[at - 1]!) : null;
      next && next.error <= 1;
      next = at > 0 ? best(sizes[at - 1]!) : null
    )
      [found, at] = [next, at - 1];
    return found;
  }
  if (exact === Infinity) return found!;
  const recurrence = recurrenceIn(fine, PLAIN, exact);
  return { rule: ruleOf(fine, PLAIN, recurrence, exact), variable: PLAIN, size: exact, recurrence, error: 0 };
}

/** An error that is no number is the worst of all. */
const better = (a: Compact, b: Compact) => (a.error <= b.error ? a : b);

/** The first try within the tolerance, or the best of them. */
function firstWithin(tries: readonly (() => Compact)[]): Compact {
  let found = tries[0]!();
  for (let k = 1; k < tries.length && !(found.error <= 1); k++) found = better(found, tries[k]!());
  return found;
}

function integral(rule: Rule, values: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += rule.weight[k]! * values[k]!;
  return sum;
}

/** Points of the soft part; the hard point, where 1 − r = 0, is kept apart. */
function softEnd(fine: Rule): number {
  const hard = fine.rest.findIndex((s) => s === 0);
  return hard < 0 ? fine.rate.length : hard;
}

const recurrenceIn = (fine: Rule, variable: Variable, size: number): Recurrence =>
  lanczosIn(fine, variable).upTo(Math.min(size, softEnd(fine)));

function lanczosIn(fine: Rule, variable: Variable): Lanczos {
  const end = softEnd(fine);
  const at = new Float64Array(end);
  for (let k = 0; k < end; k++) at[k] = forwards(variable, fine.rate[k]!, fine.rest[k]!);
  return new Lanczos(at, fine.weight.subarray(0, end));
}

/** The Gauss rule of `size` points in a variable. */
export const ruleIn = (fine: Rule, variable: Variable, size: number): Rule =>
  ruleOf(fine, variable, recurrenceIn(fine, variable, size), size);

function ruleOf(fine: Rule, variable: Variable, recurrence: Recurrence, size: number): Rule {
  const hard = fine.weight[softEnd(fine)] ?? 0;
  const { point, weight } = leadingRule(recurrence, Math.min(size, recurrence.diagonal.length));
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

/** The rounding of 1 − r in `backwards`, as a part of the smallest scale; only the hard point has 1 − r = 0. */
const ROUNDING = 2 ** -64;

/** r and 1 − r of a point; rounding may step over an end by an ulp. */
function backwards({ near, far }: Variable, u: number): { rate: number; rest: number } {
  const between = (x: number) => Math.min(1, Math.max(ROUNDING * Math.min(1, far), x));
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
