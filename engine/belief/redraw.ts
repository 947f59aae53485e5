/**
 * How well the rates are known: the same likelihoods under redrawn priors.
 *
 * One draw for each catalog parameter, λ ~ Gamma(α, β) and q ~ Beta(α, β), shared by all causes made from it; ν, u, h, a
 * and b stay. Each hypothesis keeps its likelihood, and only its prior weight changes. Draws are inverse distribution
 * functions of seeded uniforms: jStat's are good to 1e-7, which is ample for something drawn.
 * Source: project model, section 3.
 */
import jstat from "jstat";
import { seededUniform } from "../numeric/random.js";
import { numberOf } from "../catalog/figures.js";
import { chanceOf, type Parameter } from "../catalog/expand.js";
import type { Belief } from "./belief.js";
import type { Model } from "./model.js";
import { MAX_SIZE, priorWeights, type Sets } from "./sets.js";

/** Values of every parameter: one row a draw. */
export type Draws = Float64Array[];

/** @param seed  whole number; the same seed gives the same draws */
export function drawParameters(parameters: readonly Parameter[], count: number, seed: number): Draws {
  const uniform = seededUniform(seed);
  return Array.from({ length: count }, () => Float64Array.from(parameters, (p) => draw(p, uniform())));
}

function draw({ kind, prior }: Parameter, u: number): number {
  if (!prior.spread) return prior.mean;
  const { alpha, beta } = prior;
  return kind === "rate"
    ? jstat.jStat.gamma.inv(u, alpha, 1 / beta)
    : Math.min(jstat.jStat.beta.inv(u, alpha, beta), 1 - 1e-12);
}

/**
 * What the draws make of the prior, whatever the record. Under draw d the weight of a non-empty set is its own times
 * `share[d]` times the product of `odds[i · count + d]` over its members.
 */
export interface Redraws {
  count: number;
  share: Float64Array;
  /** odds of a cause over its own; causes × draws, row-major */
  odds: Float64Array;
  /** of the empty set and of `unlisted` */
  none: Float64Array;
  unlisted: Float64Array;
}

export function redrawsOf({ catalog, causes, sets, prior }: Model, draws: Draws): Redraws {
  const [nu, u] = [numberOf(catalog.nothingWrong), numberOf(catalog.unlisted)];
  const count = draws.length;
  const own = Float64Array.from(causes, ({ chance }) => chance / (1 - chance));
  const redraws: Redraws = {
    count,
    share: new Float64Array(count),
    odds: new Float64Array(causes.length * count),
    none: new Float64Array(count),
    unlisted: new Float64Array(count),
  };
  const single = sets.maxCauses === 0 ? -1 : own.findIndex((o) => o > 0);
  draws.forEach((values, d) => {
    const odds = Float64Array.from(causes, ({ recipe }) => {
      const p = chanceOf(recipe, values);
      return p / (1 - p);
    });
    const weights = priorWeights(sets, odds, nu, u);
    odds.forEach((o, i) => (redraws.odds[i * count + d] = own[i]! > 0 ? o / own[i]! : 0));
    if (single >= 0) {
      const f = sets.start[1]! + single;
      const ratio = redraws.odds[single * count + d]!;
      redraws.share[d] = ratio > 0 && prior.set[f]! > 0 ? weights.set[f]! / prior.set[f]! / ratio : 0;
    }
    redraws.none[d] = prior.set[0]! > 0 ? weights.set[0]! / prior.set[0]! : 0;
    redraws.unlisted[d] = prior.unlisted > 0 ? weights.unlisted / prior.unlisted : 0;
  });
  return redraws;
}

/** Probabilities under each draw; arrays of its length. */
export interface Redrawn {
  /** P(i ∈ F), P(i ∈ G), by cause */
  present: Float64Array[];
  active: Float64Array[];
  none: Float64Array;
  unlisted: Float64Array;
}

export function redraw({ model, mass, masks, unlistedMass }: Belief, redraws: Redraws): Redrawn {
  const { sets, causes } = model;
  const { count } = redraws;
  const byCause = () => Array.from(causes, () => new Float64Array(count));
  const [present, active] = [byCause(), byCause()];
  const none = redraws.none.map((ratio) => mass[0]! * ratio);
  const unlisted = redraws.unlisted.map((ratio) => unlistedMass * ratio);
  const total = none.map((m, d) => m + unlisted[d]!);
  const drawn = new Float64Array(count);
  for (let f = 1; f < sets.count; f++) {
    let own = 0;
    for (let mask = 0; mask < masks; mask++) own += mass[f * masks + mask]!;
    if (!(own > 0)) continue;
    weigh(sets, f, redraws, drawn);
    addScaled(total, drawn, own);
    for (let m = 0; m < sets.size[f]!; m++) {
      const i = sets.members[f * MAX_SIZE + m]!;
      let atWork = 0;
      for (let mask = 0; mask < masks; mask++) if (mask & (1 << m)) atWork += mass[f * masks + mask]!;
      addScaled(present[i]!, drawn, own);
      addScaled(active[i]!, drawn, atWork);
    }
  }
  for (const values of [...present, ...active, none, unlisted])
    for (let d = 0; d < count; d++) values[d] = values[d]! / total[d]!;
  return { present, active, none, unlisted };
}

/** How much the weight of a non-empty set changes under every draw, into `drawn`. */
function weigh(sets: Sets, f: number, { count, share, odds }: Redraws, drawn: Float64Array): void {
  drawn.set(share);
  for (let m = 0; m < sets.size[f]!; m++) {
    const at = sets.members[f * MAX_SIZE + m]! * count;
    for (let d = 0; d < count; d++) drawn[d] = drawn[d]! * odds[at + d]!;
  }
}

function addScaled(to: Float64Array, values: Float64Array, by: number): void {
  for (let d = 0; d < to.length; d++) to[d] = to[d]! + by * values[d]!;
}

/** Quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7). */
export function quantileOf(values: ArrayLike<number>, p: number): number {
  const sorted = Float64Array.from(values).sort();
  const at = (sorted.length - 1) * p;
  const low = Math.floor(at);
  return sorted[low]! + (at - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
}
