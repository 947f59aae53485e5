/**
 * How well the rates are known: the same likelihoods under redrawn priors.
 *
 * One draw for each catalog parameter, λ ~ Gamma(α, β) and q ~ Beta(α, β), shared by all causes made from it; ν, u, h, a
 * and b stay. Each hypothesis keeps its likelihood, and only its prior weight changes. Draws are inverse distribution
 * functions of seeded uniforms: jStat's are good to 1e-7, which is ample for something drawn.
 * Source: project model, section 3.
 */
import { jStat } from "jstat";
import { seededUniform } from "../numeric/random.js";
import { numberOf } from "../catalog/figures.js";
import { chanceOf, type Parameter } from "../catalog/expand.js";
import type { Belief } from "./belief.js";
import { activity, presence, setMasses } from "./summary.js";
import { priorWeights } from "./sets.js";

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
  return kind === "rate" ? jStat.gamma.inv(u, alpha, 1 / beta) : Math.min(jStat.beta.inv(u, alpha, beta), 1 - 1e-12);
}

/** Probabilities under each draw. */
export interface Redrawn {
  /** P(i ∈ F), P(i ∈ G): one array a draw, length C */
  present: Float64Array[];
  active: Float64Array[];
  none: Float64Array;
  unlisted: Float64Array;
}

export function redraw(belief: Belief, draws: Draws): Redrawn {
  const { model, masks } = belief;
  const { catalog, causes, sets, prior } = model;
  const [nu, u] = [numberOf(catalog.nothingWrong), numberOf(catalog.unlisted)];
  const redrawn: Redrawn = {
    present: [],
    active: [],
    none: new Float64Array(draws.length),
    unlisted: new Float64Array(draws.length),
  };
  const bySet = setMasses(belief);
  draws.forEach((values, d) => {
    const odds = Float64Array.from(causes, (c) => {
      const p = chanceOf(c.recipe, values);
      return p / (1 - p);
    });
    const weights = priorWeights(sets, odds, nu, u);
    const ratio = weights.set.map((w, f) => (prior.set[f]! > 0 ? w / prior.set[f]! : 0));
    const unlisted = belief.unlistedMass * (prior.unlisted > 0 ? weights.unlisted / prior.unlisted : 0);
    let total = unlisted;
    for (let f = 0; f < sets.count; f++) total += bySet[f]! * ratio[f]!;
    const scaled = Float64Array.from(belief.mass, (m, at) => (m * ratio[Math.floor(at / masks)]!) / total);
    const view = { ...belief, mass: scaled, unlistedMass: unlisted / total };
    redrawn.present.push(presence(view).present);
    redrawn.active.push(activity(view));
    redrawn.none[d] = (bySet[0]! * ratio[0]!) / total;
    redrawn.unlisted[d] = unlisted / total;
  });
  return redrawn;
}

/** Quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7). */
export function quantileOf(values: ArrayLike<number>, p: number): number {
  const sorted = Float64Array.from(values).sort();
  const at = (sorted.length - 1) * p;
  const low = Math.floor(at);
  return sorted[low]! + (at - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
}
