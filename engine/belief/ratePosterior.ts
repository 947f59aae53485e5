/**
 * Posterior of a cause's manifestation rate, given that it was a cause.
 *
 * Sets of one cause lie on the fine rule. The share of larger sets is summed over their other members on the
 * compact points and carried to the fine ones by local polynomials. The mean needs no carrying.
 */
import type { Belief } from "./belief.js";
import type { Plan } from "./rates.js";
import { softPoints, type Rule } from "../numeric/rule.js";
import { forwards } from "../numeric/compact.js";
import { across, bridgeOf, type Bridge } from "../numeric/between.js";
import { below, tableOf, quantile, type Cumulative } from "../numeric/cumulative.js";

export interface RatePosterior {
  mean: number;
  /** 5 % and 95 % */
  low: number;
  high: number;
  /** P(r = 1), a hard fault */
  hard: number;
  /** points and weights of the posterior; the weights add up to 1 */
  rule: Rule;
}

/** One pass over the grids for all causes: mass on the fine points and on the compact points of each. */
export interface Marginals {
  fine: Float64Array[];
  compact: Float64Array[];
}

export function rateMarginals(belief: Belief): Marginals {
  const { model, plan, masks } = belief;
  const { sets } = model;
  const marginals = {
    fine: plan.fine.map((rule) => new Float64Array(rule.rate.length)),
    compact: plan.compact.map((rule) => new Float64Array(rule.rate.length)),
  };
  const { values, offset } = belief.grid;
  for (let f = 1; f < sets.count; f++) {
    const members = sets.lists[f]!;
    const into = members.map((i) => (members.length === 1 ? marginals.fine : marginals.compact)[i]!);
    for (let mask = 0; mask < masks; mask++) {
      const at = f * masks + mask;
      if (offset[at]! >= 0) addMarginals(values, offset[at]!, into, belief.factor[at]!);
    }
  }
  return marginals;
}

/** The sums of a grid along each of its axes, times `scale`. */
function addMarginals(
  values: Float64Array,
  from: number,
  into: readonly Float64Array[],
  scale: number,
): void {
  const [A, B, C] = [into.at(-3), into.at(-2) ?? new Float64Array(1), into.at(-1)!];
  const plane = B.length * C.length;
  for (let a = 0; a < (A?.length ?? 1); a++) {
    const sum = addPlane(values, from + a * plane, B, C, scale);
    if (A) A[a] = A[a]! + sum;
  }
}

/** Four rows at a time, so that the sum along the other axis is read and written once for them. */
function addPlane(values: Float64Array, from: number, B: Float64Array, C: Float64Array, by: number): number {
  const nb = B.length;
  const nc = C.length;
  let b = 0;
  let at = from;
  let sum = 0;
  for (; b + 3 < nb; b += 4, at += 4 * nc) {
    let first = 0;
    let second = 0;
    let third = 0;
    let fourth = 0;
    for (let c = 0; c < nc; c++) {
      const w = values[at + c]!;
      const x = values[at + nc + c]!;
      const y = values[at + 2 * nc + c]!;
      const z = values[at + 3 * nc + c]!;
      first += w;
      second += x;
      third += y;
      fourth += z;
      C[c] = C[c]! + by * (w + x + (y + z));
    }
    B[b] = B[b]! + by * first;
    B[b + 1] = B[b + 1]! + by * second;
    B[b + 2] = B[b + 2]! + by * third;
    B[b + 3] = B[b + 3]! + by * fourth;
    sum += first + second + (third + fourth);
  }
  for (; b < nb; b++, at += nc) {
    let row = 0;
    for (let c = 0; c < nc; c++) {
      row += values[at + c]!;
      C[c] = C[c]! + by * values[at + c]!;
    }
    B[b] = B[b]! + by * row;
    sum += row;
  }
  return by * sum;
}

/** Posterior of r_i given i ∈ F, or null where that is impossible. */
export function ratePosterior(belief: Belief, marginals: Marginals, i: number): RatePosterior | null {
  const fine = belief.plan.fine[i]!;
  const own = marginals.fine[i]!;
  const compact = belief.plan.compact[i];
  const shared = marginals.compact[i];
  let total = 0;
  let mean = 0;
  for (let k = 0; k < own.length; k++) [total, mean] = [total + own[k]!, mean + own[k]! * fine.rate[k]!];
  if (compact && shared)
    for (let k = 0; k < shared.length; k++)
      [total, mean] = [total + shared[k]!, mean + shared[k]! * compact.rate[k]!];
  if (!(total > 0)) return null;
  const weight = compact && shared ? withShared(belief, i, own, shared) : Float64Array.from(own);
  for (let k = 0; k < weight.length; k++) weight[k] = weight[k]! / total;
  const rule = { ...fine, weight };
  const hard = fine.rest.at(-1) === 0 ? weight.at(-1)! : 0;
  if (fine.rate.length === 1)
    return { mean: mean / total, low: fine.rate[0]!, high: fine.rate[0]!, hard, rule };
  const table = tableOf(rule);
  return { mean: mean / total, low: quantile(table, 0.05), high: quantile(table, 0.95), hard, rule };
}

/** The same before the record: the fine rule is that of the prior. */
export function ratePrior({ plan }: Belief, i: number): Pick<RatePosterior, "hard" | "rule"> {
  const rule = plan.fine[i]!;
  const isHard = rule.rate.length > 1 && rule.rest.at(-1) === 0;
  return { rule, hard: isHard ? rule.weight.at(-1)! : 0 };
}

/** P(r in each of `steps` equal steps from 0 to 1 | present), the hard point left out; adds up to 1 − hard. */
export function rateDensity(posterior: Pick<RatePosterior, "hard" | "rule">, steps: number): number[] {
  const { rate } = posterior.rule;
  const soft = 1 - posterior.hard;
  if (rate.length === 1)
    return Array.from({ length: steps }, (_, k) => (k === Math.min(steps - 1, Math.floor(rate[0]! * steps)) ? soft : 0)); // prettier-ignore
  const table = tableOf(posterior.rule);
  const upTo = Array.from({ length: steps + 1 }, (_, k) =>
    k === 0 ? 0 : k === steps ? soft : below(table, k / steps),
  );
  return upTo.slice(1).map((p, k) => Math.max(0, p - upTo[k]!));
}

export const cumulativeOf = (posterior: RatePosterior): Cumulative => tableOf(posterior.rule);

/** Own mass on the fine points plus the shared mass, carried there from the compact points. */
function withShared({ plan }: Belief, i: number, own: Float64Array, shared: Float64Array): Float64Array {
  const [fine, compact] = [plan.fine[i]!, plan.compact[i]!];
  const { points, bridge, measure } = carriageOf(plan, i);
  const density = across(bridge, points.map((k) => shared[k]! / compact.weight[k]!)); // prettier-ignore
  const isHard = compact.rest.at(-1) === 0;
  const soft = softPoints(fine);
  return own.map((w, k) => {
    if (k === soft) return isHard ? w + shared.at(-1)! : w;
    return Math.max(0, w + density[k]! * measure[k]!);
  });
}

/** How mass on the compact points of a cause is carried to its fine ones. */
interface Carriage {
  /** the compact points that it comes from: of one without weight nothing is known */
  points: Float64Array;
  bridge: Bridge;
  /** what density is relative to, at the soft fine points */
  measure: Float64Array;
}

/** By the fine rule, then by the compact one: a plan of rules lasts for many starts. */
const carriages = new WeakMap<Rule, WeakMap<Rule, Carriage>>();

function carriageOf(plan: Plan, i: number): Carriage {
  const [fine, compact] = [plan.fine[i]!, plan.compact[i]!];
  let own = carriages.get(fine);
  if (!own) carriages.set(fine, (own = new WeakMap()));
  let carriage = own.get(compact);
  if (!carriage) own.set(compact, (carriage = carriageBetween(plan, i)));
  return carriage;
}

function carriageBetween(plan: Plan, i: number): Carriage {
  const [fine, compact, absorbed] = [plan.fine[i]!, plan.compact[i]!, plan.absorbed[i]!];
  const { variable } = plan.found[i]!;
  const points = Float64Array.from(compact.weight.subarray(0, softPoints(compact)).keys()).filter(
    (k) => compact.weight[k]! > 0,
  );
  const at = (rule: Rule, k: number) => forwards(variable, rule.rate[k]!, rule.rest[k]!);
  const all = fine.weight.subarray(0, softPoints(fine));
  return {
    points,
    bridge: bridgeOf(
      points.map((k) => at(compact, k)),
      all.map((_, k) => at(fine, k)),
    ),
    measure: all.map((w, k) => w * Math.exp(absorbed === 0 ? 0 : absorbed * fine.logRest[k]!)),
  };
}
