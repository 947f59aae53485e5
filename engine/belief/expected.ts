/**
 * What an entry was expected to surprise: the entropy of what it could have shown, before it was seen.
 */
import type { Finding, Reading } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import { seededUniform } from "../numeric/random.js";
import { integrate } from "../numeric/legendre.js";
import { activeMembers, type Belief } from "./belief.js";
import { findingChances, logNormal, readingParts, slipOf } from "./looks.js";
import { countSpace, countSpaceSize, leafChances, unlistedLeaves } from "./counts.js";
import { mainGroupsOf, MomentStore } from "./moments.js";
import { walkOnce } from "./walk.js";

/** Bits, with the standard error where it was estimated, else 0. */
export interface Entropy {
  bits: number;
  error: number;
}

/** Leaves × active sets up to which the entropy of a batch is enumerated. */
const AFFORDABLE = 6e6;
const LONGEST = 12;
const WALKS = 16;

/**
 * Entropy of the ordered sequence of n outcomes in one setup.
 * Exact to n = 12 where leaves × active sets allow, otherwise a mean over seeded walks with its standard error.
 */
export function sequenceEntropy(
  belief: Belief,
  exposure: Float64Array,
  key: string,
  n: number,
  seed: number,
): Entropy {
  const groups = mainGroupsOf(belief);
  const outcomes = belief.model.stages.outcomes;
  if (n > LONGEST || countSpaceSize(n, outcomes) * groups.length > AFFORDABLE) {
    return walkedEntropy(belief, exposure, key, n, seed);
  }
  const space = countSpace(n, outcomes);
  const store = new MomentStore(belief, n);
  const chance = unlistedLeaves(belief.unlisted, belief.unlistedMass, key, space);
  for (const group of groups) {
    const moments = store.of(group, exposure);
    const leaves = leafChances(moments, belief.model.table(moments.shown), space);
    for (let leaf = 0; leaf < space.size; leaf++) chance[leaf] = chance[leaf]! + leaves[leaf]!;
  }
  let bits = 0;
  for (let leaf = 0; leaf < space.size; leaf++)
    if (chance[leaf]! > 0) bits -= space.multiplicity[leaf]! * chance[leaf]! * Math.log2(chance[leaf]!);
  return { bits, error: 0 };
}

function walkedEntropy(
  belief: Belief,
  exposure: Float64Array,
  key: string,
  n: number,
  seed: number,
): Entropy {
  const { stages } = belief.model;
  const store = new MomentStore(belief, n);
  const branches = mainGroupsOf(belief).map((group) => {
    const { shown, values } = store.of(group, exposure);
    return { members: shown.length, values, table: belief.model.table(shown) };
  });
  const { unlisted, unlistedMass } = belief;
  const ground = { branches, unlisted, unlistedMass, key, n, outcomes: stages.outcomes };
  const uniform = seededUniform(seed);
  return meanWithError(Array.from({ length: WALKS }, () => -walkOnce(ground, uniform).logChance / Math.LN2));
}

export function meanWithError(values: readonly number[]): Entropy {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  const variance = values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (values.length - 1);
  return { bits: mean, error: Math.sqrt(variance / values.length) };
}

/** P(the active ones among `tied` are exactly these), by their list; and P(unlisted). */
export function activeTied(belief: Belief, tied: Uint8Array): { active: number[]; mass: number }[] {
  const found = new Map<string, { active: number[]; mass: number }>();
  const { model, masks, mass } = belief;
  for (let f = 0; f < model.sets.count; f++)
    for (let mask = 0; mask < masks; mask++) {
      const p = mass[f * masks + mask]!;
      if (!(p > 0)) continue;
      const active = activeMembers(model, f, mask).filter((i) => tied[i]);
      const key = active.join();
      const known = found.get(key);
      if (known) known.mass += p;
      else found.set(key, { active, mass: p });
    }
  return [...found.values()];
}

/** Chances of a finding's values now; they add up to 1. */
export function findingPredictive(belief: Belief, finding: Finding, tied: Uint8Array): Float64Array {
  const { causes } = belief.model;
  const base = findingChances(finding, []);
  const chances = base.map((b) => belief.unlistedMass * (0.5 * b + 0.5 / base.length));
  for (const { active, mass } of activeTied(belief, tied))
    findingChances(
      finding,
      active.map((i) => causes[i]!),
    ).forEach((p, v) => (chances[v] = chances[v]! + mass * p));
  return chances;
}

export function findingEntropy(belief: Belief, finding: Finding, tied: Uint8Array): Entropy {
  const chances = findingPredictive(belief, finding, tied);
  return { bits: chances.reduce((sum, p) => (p > 0 ? sum - p * Math.log2(p) : sum), 0), error: 0 };
}

/** Differential entropy of a reading, in bits, in the catalog's unit. */
export function readingEntropy(belief: Belief, reading: Reading, tied: Uint8Array): Entropy {
  const density = readingDensity(belief, reading, tied);
  const bits = integrate((x) => {
    const p = density(x);
    return p > 0 ? -p * Math.log2(p) : 0;
  }, readingEdges(reading));
  return { bits, error: 0 };
}

/** Predictive density of a reading now, in 1/unit. */
export function readingDensity(belief: Belief, reading: Reading, tied: Uint8Array): (x: number) => number {
  const { causes } = belief.model;
  const slip = slipOf(reading);
  const [low, high] = reading.range;
  const healthy = { mean: numberOf(reading.healthy.mean), sd: numberOf(reading.healthy.sd) };
  const parts = [{ weight: 0.5 * belief.unlistedMass, ...healthy }];
  for (const { active, mass } of activeTied(belief, tied))
    for (const part of readingParts(
      reading,
      active.map((i) => causes[i]!),
    ))
      parts.push({ ...part, weight: mass * part.weight });
  const merged = mergeParts(parts);
  const flat = (slip * (1 - 0.5 * belief.unlistedMass) + 0.5 * belief.unlistedMass) / (high - low);
  return (x) =>
    merged.reduce(
      (sum, p) => sum + (1 - slip) * p.weight * Math.exp(logNormal(x, p.mean, p.sd)),
      x >= low && x <= high ? flat : 0,
    );
}

function mergeParts(parts: { weight: number; mean: number; sd: number }[]) {
  const merged = new Map<string, { weight: number; mean: number; sd: number }>();
  for (const part of parts) {
    const key = `${part.mean},${part.sd}`;
    const known = merged.get(key);
    if (known) known.weight += part.weight;
    else merged.set(key, { ...part });
  }
  return [...merged.values()];
}

/** Panel edges fine enough for every bell curve a reading may follow, and at the ends of the range. */
export function readingEdges(reading: Reading): number[] {
  const bells = [reading.healthy, ...Object.values(reading.causes)];
  const edges = bells.flatMap(({ mean, sd }) =>
    [-12, -8, -5, -3, -2, -1, 0, 1, 2, 3, 5, 8, 12].map((k) => numberOf(mean) + k * numberOf(sd)),
  );
  return [...new Set([...edges, ...reading.range])].sort((x, y) => x - y);
}
