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
 * `share[d]` times the product of `odds[i][d]` over its members.
 */
export interface Redraws {
  count: number;
  share: Float64Array;
  /** odds of a cause over its own, by cause */
  odds: Float64Array[];
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
    odds: Array.from(causes, () => new Float64Array(count)),
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
    odds.forEach((o, i) => (redraws.odds[i]![d] = own[i]! > 0 ? o / own[i]! : 0));
    if (single >= 0) {
      const f = sets.start[1]! + single;
      const ratio = redraws.odds[single]![d]!;
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
  const { model, mass, unlistedMass } = belief;
  const bySet = setMasses(belief);
  const present = weightsByCause(model, redraws, () => true, (f) => bySet[f]!); // prettier-ignore
  const left = everLeft(belief);
  const active = weightsByCause(model, redraws, (i) => left[i] === 1, (f, m) => activeMass(belief, f, m)); // prettier-ignore
  const none = redraws.none.map((ratio) => mass[0]! * ratio);
  const unlisted = redraws.unlisted.map((ratio) => unlistedMass * ratio);
  const total = none.map((p, d) => p + unlisted[d]!);
  for (const { once } of present) for (let d = 0; d < total.length; d++) total[d] = total[d]! + once[d]!;
  const ofAll = (values: Float64Array) => values.map((p, d) => p / total[d]!);
  const shares = present.map(({ all }) => ofAll(all));
  return {
    present: shares,
    active: shares.map((share, i) => (left[i] ? ofAll(active[i]!.all) : share)),
    none: ofAll(none),
    unlisted: ofAll(unlisted),
  };
}

/** Weights of a cause under every draw. */
interface OfCause {
  /** over the sets it is in */
  all: Float64Array;
  /** the same with each set divided among its members: over all causes every set counts once */
  once: Float64Array;
}

/**
 * A set's weight under a draw is its own times the odds of its members: those of the others are summed over the sets of a
 * cause before they are multiplied by its own.
 * @param wanted  causes that are asked for; of the others nothing is summed
 * @param massOf  what of set f counts for its m-th member
 */
function weightsByCause(
  { sets, causes }: Model,
  { count, share, odds }: Redraws,
  wanted: (i: number) => boolean,
  massOf: (f: number, m: number) => number,
): OfCause[] {
  const alone = new Float64Array(causes.length);
  // what counts for a cause of its pairs with each of the others
  const paired = Array.from(causes, () => new Float64Array(causes.length));
  const threes = Array.from(causes, () => new Float64Array(count));
  for (let f = 1; f < sets.count; f++) {
    const members = sets.lists[f]!;
    for (let m = 0; m < members.length; m++) {
      const i = members[m]!;
      const a = members[m === 0 ? 1 : 0];
      const b = members[m === 2 ? 1 : 2];
      if (!wanted(i)) continue;
      const mass = massOf(f, m);
      if (a === undefined) alone[i] = mass;
      else if (b === undefined) paired[i]![a] = mass;
      else if (mass > 0) addPair(threes[i]!, mass, odds[a]!, odds[b]!);
    }
  }
  return paired.map((masses, i) => {
    const pairs = oddsOf(masses, odds, count);
    const by = share.map((s, d) => s * odds[i]![d]!);
    return {
      all: by.map((s, d) => s * (alone[i]! + pairs[d]! + threes[i]![d]!)),
      once: by.map((s, d) => s * (alone[i]! + pairs[d]! / 2 + threes[i]![d]! / 3)),
    };
  });
}

/** Σ mass · odds under every draw. */
function oddsOf(masses: Float64Array, odds: readonly Float64Array[], count: number): Float64Array {
  const sum = new Float64Array(count);
  const some = [...masses.keys()].filter((i) => masses[i]! > 0);
  // four causes at a time: the sum is read and written once for them
  for (let k = 0; k < some.length; k += 4) {
    const a = some[k]!;
    const b = some[k + 1] ?? a;
    const c = some[k + 2] ?? a;
    const e = some[k + 3] ?? a;
    const left = some.length - k;
    const ofB = left > 1 ? masses[b]! : 0;
    const ofC = left > 2 ? masses[c]! : 0;
    const ofE = left > 3 ? masses[e]! : 0;
    addFour(sum, masses[a]!, odds[a]!, ofB, odds[b]!, ofC, odds[c]!, ofE, odds[e]!);
  }
  return sum;
}

function addFour(
  to: Float64Array,
  a: number,
  ofA: Float64Array,
  b: number,
  ofB: Float64Array,
  c: number,
  ofC: Float64Array,
  e: number,
  ofE: Float64Array,
): void {
  for (let d = 0; d < to.length; d++)
    to[d] = to[d]! + (a * ofA[d]! + b * ofB[d]!) + (c * ofC[d]! + e * ofE[d]!);
}

function addPair(to: Float64Array, mass: number, first: Float64Array, second: Float64Array): void {
  for (let d = 0; d < to.length; d++) to[d] = to[d]! + mass * first[d]! * second[d]!;
}

/** 1 for each cause that may have left by now; length C. */
function everLeft({ model, mass, masks }: Belief): Uint8Array {
  const { sets } = model;
  const left = new Uint8Array(sets.causes);
  for (let f = 1; f < sets.count; f++)
    for (let mask = 0; mask < (1 << sets.size[f]!) - 1; mask++)
      if (mass[f * masks + mask]! > 0)
        sets.lists[f]!.forEach((i, m) => {
          if (!(mask & (1 << m))) left[i] = 1;
        });
  return left;
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
