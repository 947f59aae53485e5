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
import { activeMembers, type Belief } from "./belief.js";
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
  return kind === "rate"
    ? jstat.jStat.gamma.inv(u, alpha, 1 / beta)
    : Math.min(jstat.jStat.beta.inv(u, alpha, beta), 1 - 1e-12);
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
  const { catalog, causes, sets, prior } = belief.model;
  const [nu, u] = [numberOf(catalog.nothingWrong), numberOf(catalog.unlisted)];
  const redrawn: Redrawn = {
    present: [],
    active: [],
    none: new Float64Array(draws.length),
    unlisted: new Float64Array(draws.length),
  };
  const places = placesOf(belief);
  draws.forEach((values, d) => {
    const odds = Float64Array.from(causes, (c) => {
      const p = chanceOf(c.recipe, values);
      return p / (1 - p);
    });
    const weights = priorWeights(sets, odds, nu, u);
    const ratio = weights.set.map((w, f) => (prior.set[f]! > 0 ? w / prior.set[f]! : 0));
    const unlisted = belief.unlistedMass * (prior.unlisted > 0 ? weights.unlisted / prior.unlisted : 0);
    const present = new Float64Array(causes.length);
    const active = new Float64Array(causes.length);
    let total = unlisted;
    for (const { set, mass, members, mask } of places) {
      const m = mass * ratio[set]!;
      total += m;
      members.forEach((i, k) => {
        present[i] = present[i]! + m;
        if (mask & (1 << k)) active[i] = active[i]! + m;
      });
    }
    redrawn.present.push(present.map((p) => p / total));
    redrawn.active.push(active.map((p) => p / total));
    redrawn.none[d] = (belief.mass[0]! * ratio[0]!) / total;
    redrawn.unlisted[d] = unlisted / total;
  });
  return redrawn;
}

/** Every hypothesis of some mass, with the members of its set. */
function placesOf({ model, mass, masks }: Belief) {
  const { sets } = model;
  const places: { set: number; mask: number; mass: number; members: number[] }[] = [];
  mass.forEach((m, at) => {
    if (!(m > 0)) return;
    const [set, mask] = [Math.floor(at / masks), at % masks];
    places.push({ set, mask, mass: m, members: activeMembers(model, set, (1 << sets.size[set]!) - 1) });
  });
  return places;
}

/** Quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7). */
export function quantileOf(values: ArrayLike<number>, p: number): number {
  const sorted = Float64Array.from(values).sort();
  const at = (sorted.length - 1) * p;
  const low = Math.floor(at);
  return sorted[low]! + (at - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
}
