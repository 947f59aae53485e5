/**
 * Posterior of a cause's manifestation rate, given that it was a cause.
 *
 * Sets of one cause lie on the fine rule. The share of larger sets is summed over their other members, divided by the
 * compact rule's weights, which leaves a smooth function, and carried to the fine points by barycentric interpolation in
 * the rule's variable (Berrut & Trefethen 2004). The mean needs no interpolation.
 */
import type { Belief } from "./belief.js";
import { rulesOf } from "./belief.js";
import { MAX_SIZE } from "./sets.js";
import type { Rule } from "../numeric/rule.js";
import { forwards } from "../numeric/compact.js";
import { tableOf, quantile, type Cumulative } from "../numeric/cumulative.js";

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
  for (let f = 1; f < sets.count; f++) {
    const size = sets.size[f]!;
    const sizes = rulesOf(belief, f).map((rule) => rule.rate.length);
    const into = Array.from(
      { length: size },
      (_, m) => (size === 1 ? marginals.fine : marginals.compact)[sets.members[f * MAX_SIZE + m]!]!,
    );
    for (let mask = 0; mask < masks; mask++) {
      const at = f * masks + mask;
      const from = belief.grid.offset[at]!;
      if (from >= 0) addMarginals(belief.grid.values.subarray(from, from + belief.grid.points[f]!), sizes, into, belief.factor[at]!);
    }
  }
  return marginals;
}

function addMarginals(grid: Float64Array, sizes: number[], into: Float64Array[], scale: number): void {
  const [nb, nc] = [sizes.at(-2) ?? 1, sizes.at(-1)!];
  const [A, B, C] = [into.at(-3), into.at(-2), into.at(-1)!];
  let at = 0;
  for (let outer = 0; outer * nb * nc < grid.length; outer++)
    for (let b = 0; b < nb; b++) {
      let row = 0;
      for (let c = 0; c < nc; c++) {
        const w = grid[at++]! * scale;
        row += w;
        C[c] = C[c]! + w;
      }
      if (B) B[b] = B[b]! + row;
      if (A) A[outer] = A[outer]! + row;
    }
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
    for (let k = 0; k < shared.length; k++) [total, mean] = [total + shared[k]!, mean + shared[k]! * compact.rate[k]!];
  if (!(total > 0)) return null;
  const weight = compact && shared ? withShared(belief, i, own, shared) : Float64Array.from(own);
  for (let k = 0; k < weight.length; k++) weight[k] = weight[k]! / total;
  const rule = { ...fine, weight };
  const hard = fine.rest.at(-1) === 0 ? weight.at(-1)! : 0;
  if (fine.rate.length === 1) return { mean: mean / total, low: fine.rate[0]!, high: fine.rate[0]!, hard, rule };
  const table = tableOf(rule);
  return { mean: mean / total, low: quantile(table, 0.05), high: quantile(table, 0.95), hard, rule };
}

export const cumulativeOf = (posterior: RatePosterior): Cumulative => tableOf(posterior.rule);

/** Own mass on the fine points plus the shared mass, carried there from the compact points. */
function withShared({ plan }: Belief, i: number, own: Float64Array, shared: Float64Array): Float64Array {
  const [fine, compact, variable, absorbed] = [plan.fine[i]!, plan.compact[i]!, plan.found[i]!.variable, plan.absorbed[i]!];
  const isHard = compact.rest.at(-1) === 0;
  const soft = compact.rest.length - Number(isHard);
  const at = Float64Array.from({ length: soft }, (_, k) => forwards(variable, compact.rate[k]!, compact.rest[k]!));
  const ratio = Float64Array.from({ length: soft }, (_, k) => (compact.weight[k]! > 0 ? shared[k]! / compact.weight[k]! : 0));
  const barycentric = barycentricWeights(at);
  return own.map((w, k) => {
    if (fine.rest[k] === 0) return isHard ? w + shared.at(-1)! : w;
    const measure = fine.weight[k]! * (absorbed === 0 ? 1 : Math.exp(absorbed * fine.logRest[k]!));
    if (measure === 0) return w;
    return w + measure * interpolate(at, ratio, barycentric, forwards(variable, fine.rate[k]!, fine.rest[k]!));
  });
}

/** ln |w_k| and sign: the products overflow long before their ratios. */
function barycentricWeights(points: Float64Array): Float64Array {
  const size = points.length;
  const logs = new Float64Array(size);
  const signs = new Float64Array(size).fill(1);
  for (let k = 0; k < size; k++)
    for (let l = 0; l < size; l++) {
      if (l === k) continue;
      const gap = points[k]! - points[l]!;
      logs[k] = logs[k]! - Math.log(Math.abs(gap));
      if (gap < 0) signs[k] = -signs[k]!;
    }
  const top = logs.reduce((x, y) => Math.max(x, y), -Infinity);
  return logs.map((l, k) => signs[k]! * Math.exp(l - top));
}

function interpolate(points: Float64Array, values: Float64Array, barycentric: Float64Array, x: number): number {
  let [above, below] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    const gap = x - points[k]!;
    if (gap === 0) return values[k]!;
    above += (barycentric[k]! / gap) * values[k]!;
    below += barycentric[k]! / gap;
  }
  return above / below;
}
