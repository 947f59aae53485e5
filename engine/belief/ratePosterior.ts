/**
 * Posterior of a cause's manifestation rate, given that it was a cause.
 *
 * Sets of one cause lie on the fine rule. The share of larger sets is summed over their other members on the
 * compact points and carried to the fine ones by local polynomials. The mean needs no carrying.
 */
import type { Belief } from "./belief.js";
import type { Rule } from "../numeric/rule.js";
import { forwards } from "../numeric/compact.js";
import { between } from "../numeric/between.js";
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
  const [A, B, C] = [into.at(-3), into.at(-2), into.at(-1)!];
  const nb = B?.length ?? 1;
  let at = from;
  for (let a = 0; a < (A?.length ?? 1); a++)
    for (let b = 0; b < nb; b++) {
      let row = 0;
      for (let c = 0; c < C.length; c++) {
        const w = values[at++]! * scale;
        row += w;
        C[c] = C[c]! + w;
      }
      if (B) B[b] = B[b]! + row;
      if (A) A[a] = A[a]! + row;
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
  const [fine, compact, absorbed] = [plan.fine[i]!, plan.compact[i]!, plan.absorbed[i]!];
  const { variable } = plan.found[i]!;
  const isHard = compact.rest.at(-1) === 0;
  const soft = compact.rest.length - Number(isHard);
  const fineSoft = fine.rest.at(-1) === 0 ? fine.rest.length - 1 : fine.rest.length;
  const place = (rule: Rule, k: number) => forwards(variable, rule.rate[k]!, rule.rest[k]!);
  // of a point without weight nothing is known
  const known = [...compact.weight.keys()].filter((k) => k < soft && compact.weight[k]! > 0);
  const density = between(
    Float64Array.from(known, (k) => place(compact, k)),
    Float64Array.from(known, (k) => shared[k]! / compact.weight[k]!),
    Float64Array.from({ length: fineSoft }, (_, k) => place(fine, k)),
  );
  return own.map((w, k) => {
    if (k === fineSoft) return isHard ? w + shared.at(-1)! : w;
    const mass = density[k]! * fine.weight[k]! * Math.exp(absorbed === 0 ? 0 : absorbed * fine.logRest[k]!);
    return Math.max(0, w + mass);
  });
}
