/**
 * Seeded walks through the outcomes of n starts: each outcome drawn from the exact chances given those before it.
 */
import { chanceOf, lowerInto } from "./counts.js";
import { unlistedPredictive, type Unlisted } from "./unlisted.js";

/** Moments of some active set, of degree n, with the chances of outcomes by which of its members show. */
export interface Branch {
  members: number;
  table: Float64Array;
  values: Float64Array;
}

export interface Walk {
  /** counts of the outcomes; length S + 1 */
  counts: Uint16Array;
  /** ln P(this sequence) */
  logChance: number;
  /** P(branch, this sequence) */
  branches: Float64Array;
  /** P(unlisted, this sequence) */
  unlisted: number;
}

/** What may be walked: the branches of the listed causes, and `unlisted` with its mass. */
export interface Ground {
  branches: readonly Branch[];
  unlisted: Unlisted;
  unlistedMass: number;
  /** what `unlisted` takes for the setup */
  key: string;
  n: number;
  outcomes: number;
}

export function walkOnce(ground: Ground, uniform: () => number): Walk {
  const { branches, key, n, outcomes, unlistedMass } = ground;
  const chanceUnlisted = unlistedPredictive(ground.unlisted, key);
  const counts = new Uint16Array(outcomes);
  let values = branches.map((b) => b.values);
  const one = new Float64Array(8);
  for (let left = n; left > 0; left--) {
    const chances = new Float64Array(outcomes);
    branches.forEach(({ members, table }, k) => {
      toDegreeOne(one, values[k]!, left, members);
      for (let o = 0; o < outcomes; o++) chances[o] = chances[o]! + chanceOf(one, members, table, o);
    });
    for (let o = 0; o < outcomes; o++) {
      counts[o] = counts[o]! + 1;
      chances[o] = chances[o]! + unlistedMass * chanceUnlisted(counts);
      counts[o] = counts[o]! - 1;
    }
    const outcome = pick(chances, uniform());
    counts[outcome] = counts[outcome]! + 1;
    values = values.map((v, k) => {
      const { members, table } = branches[k]!;
      const out = new Float64Array(left ** members);
      lowerInto(out, v, left, members, table, outcome);
      return out;
    });
  }
  const weights = Float64Array.from(values, (v) => v[0]!);
  const mass = unlistedMass * chanceUnlisted(counts);
  return {
    counts,
    logChance: Math.log(weights.reduce((sum, w) => sum + w, mass)),
    branches: weights,
    unlisted: mass,
  };
}

/** The first outcome whose running sum passes u × the total. */
function pick(chances: Float64Array, u: number): number {
  const at = u * chances.reduce((sum, p) => sum + p, 0);
  let sum = 0;
  for (let o = 0; o < chances.length; o++) if ((sum += chances[o]!) > at) return o;
  return chances.length - 1;
}

/** E[q^k (1 − q)^(1−k)] from E[q^j (1 − q)^(n−j)]: Σ_j C(n − 1, j) at j + k, along every axis. */
function toDegreeOne(out: Float64Array, values: Float64Array, n: number, members: number): void {
  if (members === 0) {
    out[0] = values[0]!;
    return;
  }
  let current: Float64Array = values;
  let inner = 1;
  for (let m = members - 1; m >= 0; m--) {
    const outer = (n + 1) ** m;
    const next = m === 0 ? out : new Float64Array(outer * 2 * inner);
    for (let o = 0; o < outer; o++) reduceAxis(next, current, o, n, inner);
    current = next;
    inner *= 2;
  }
}

function reduceAxis(next: Float64Array, values: Float64Array, o: number, n: number, inner: number): void {
  for (let x = 0; x < inner; x++) {
    let [low, high, choose] = [0, 0, 1];
    for (let j = 0; j < n; j++) {
      low += choose * values[(o * (n + 1) + j) * inner + x]!;
      high += choose * values[(o * (n + 1) + j + 1) * inner + x]!;
      choose = (choose * (n - 1 - j)) / (j + 1);
    }
    next[o * 2 * inner + x] = low;
    next[(o * 2 + 1) * inner + x] = high;
  }
}
