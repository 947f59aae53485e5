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
import { priorWeights } from "./sets.js";
import { activeMass, setMasses } from "./summary.js";

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

export function redraw(belief: Belief, redraws: Redraws): Redrawn {
  const { mass, unlistedMass } = belief;
  const bySet = setMasses(belief);
  const present = byCause(belief.model, redraws, (f) => bySet[f]!);
  const active = hasAnyLeft(belief)
    ? byCause(belief.model, redraws, (f, m) => activeMass(belief, f, m))
    : present;
  const none = redraws.none.map((ratio) => mass[0]! * ratio);
  const unlisted = redraws.unlisted.map((ratio) => unlistedMass * ratio);
  const total = none.map((p, d) => p + unlisted[d]! + present.sets[d]!);
  const ofAll = (values: Float64Array) => values.map((p, d) => p / total[d]!);
  const shares = { present: present.causes.map(ofAll), none: ofAll(none), unlisted: ofAll(unlisted) };
  return { ...shares, active: active === present ? shares.present : active.causes.map(ofAll) };
}

/** By cause, summed over the sets it is in, and over all non-empty sets: masses under every draw. */
interface ByCause {
  causes: Float64Array[];
  sets: Float64Array;
}

/**
 * A set's weight under a draw is its own times the odds of its members: those of the others are summed over the sets of a
 * cause before they are multiplied by its own.
 * @param massOf  what of set f counts for its m-th member
 */
function byCause(
  { sets, causes }: Model,
  { count, share, odds }: Redraws,
  massOf: (f: number, m: number) => number,
): ByCause {
  const rows = () => Array.from(causes, () => new Float64Array(count));
  // of sets in which the cause comes first, and of the others: no set counts twice in their sum
  const [leading, following] = [rows(), rows()];
  for (let f = 1; f < sets.count; f++) {
    const members = sets.lists[f]!;
    members.forEach((i, m) => {
      const mass = massOf(f, m);
      if (mass > 0) addOdds((m === 0 ? leading : following)[i]!, mass, members, m, odds);
    });
  }
  const sums: ByCause = { causes: [], sets: new Float64Array(count) };
  leading.forEach((first, i) => {
    const by = share.map((s, d) => s * odds[i * count + d]!);
    sums.causes.push(first.map((p, d) => (p + following[i]![d]!) * by[d]!));
    first.forEach((p, d) => (sums.sets[d] = sums.sets[d]! + p * by[d]!));
  });
  return sums;
}

/** Adds mass · the odds of all members but the m-th under every draw. */
function addOdds(
  to: Float64Array,
  mass: number,
  members: readonly number[],
  m: number,
  odds: Float64Array,
): void {
  const [a, b] = members.filter((_, k) => k !== m).map((i) => i * to.length);
  if (a === undefined) for (let d = 0; d < to.length; d++) to[d] = to[d]! + mass;
  else if (b === undefined) for (let d = 0; d < to.length; d++) to[d] = to[d]! + mass * odds[a + d]!;
  else for (let d = 0; d < to.length; d++) to[d] = to[d]! + mass * odds[a + d]! * odds[b + d]!;
}

/** May any cause have left? */
function hasAnyLeft({ model, mass, masks }: Belief): boolean {
  const { sets } = model;
  for (let f = 1; f < sets.count; f++)
    for (let mask = 0; mask < (1 << sets.size[f]!) - 1; mask++) if (mass[f * masks + mask]! > 0) return true;
  return false;
}

/** Quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7). */
export const quantileOf = (values: ArrayLike<number>, p: number): number => quantilesOf(values, [p])[0]!;

/** The same at several p. */
export function quantilesOf(values: ArrayLike<number>, at: readonly number[]): number[] {
  const sorted = Float64Array.from(values).sort();
  return at.map((p) => {
    const place = (sorted.length - 1) * p;
    const low = Math.floor(place);
    return sorted[low]! + (place - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
  });
}
