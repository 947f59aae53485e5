/**
 * Chances of every count of outcomes over n starts in one setup.
 *
 * Counts, not sequences: C(n + S, S) of them. They are walked depth first, an outcome at a time in non-decreasing order;
 * each outcome lowers the degree of the moments by one, so a leaf costs one number. The walk is done once for each active
 * set and setup class; a leaf holds P(G, these outcomes in this order), without the multinomial coefficient.
 */
import type { Moments } from "./moments.js";
import { unlistedPredictive, type Unlisted } from "./unlisted.js";

/** The shape of a count space: n starts, S + 1 outcomes. */
export interface CountSpace {
  n: number;
  outcomes: number;
  /** number of leaves, C(n + S, S) */
  size: number;
  /** multinomial coefficient of each leaf */
  multiplicity: Float64Array;
  /** counts of each leaf, row-major; size × outcomes */
  counts: Uint16Array;
}

export function countSpaceSize(n: number, outcomes: number): number {
  let size = 1;
  for (let k = 1; k < outcomes; k++) size = (size * (n + k)) / k;
  return Math.round(size);
}

export function countSpace(n: number, outcomes: number): CountSpace {
  const size = countSpaceSize(n, outcomes);
  const space: CountSpace = {
    n,
    outcomes,
    size,
    multiplicity: new Float64Array(size),
    counts: new Uint16Array(size * outcomes),
  };
  const counts = new Uint16Array(outcomes);
  let leaf = 0;
  const walk = (outcome: number, left: number, multiplicity: number): void => {
    if (left === 0) {
      space.multiplicity[leaf] = multiplicity;
      space.counts.set(counts, leaf * outcomes);
      leaf++;
      return;
    }
    for (let o = outcome; o < outcomes; o++) {
      counts[o] = counts[o]! + 1;
      walk(o, left - 1, (multiplicity * (n - left + 1)) / counts[o]!);
      counts[o] = counts[o]! - 1;
    }
  };
  walk(0, n, 1);
  return space;
}

/**
 * Moments after one more outcome: of degree n − 1, from those of degree n.
 * @param out  filled with degree^members numbers
 */
export function lowerInto(
  out: Float64Array,
  values: Float64Array,
  degree: number,
  members: number,
  table: Float64Array,
  outcome: number,
): void {
  const at = outcome << members;
  if (members === 0) out[0] = values[0]! * table[at]!;
  else if (members === 1) {
    const [c0, c1] = [table[at]!, table[at + 1]!];
    for (let k = 0; k < degree; k++) out[k] = c0 * values[k]! + c1 * values[k + 1]!;
  } else if (members === 2) lowerTwo(out, values, degree, table, at);
  else lowerThree(out, values, degree, table, at);
}

function lowerTwo(
  out: Float64Array,
  values: Float64Array,
  degree: number,
  table: Float64Array,
  at: number,
): void {
  const c0 = table[at]!;
  const c1 = table[at + 1]!;
  const c2 = table[at + 2]!;
  const c3 = table[at + 3]!;
  const stride = degree + 1;
  for (let k = 0; k < degree; k++)
    for (let l = 0; l < degree; l++) {
      const x = k * stride + l;
      out[k * degree + l] =
        c0 * values[x]! + c1 * values[x + stride]! + c2 * values[x + 1]! + c3 * values[x + stride + 1]!;
    }
}

function lowerThree(
  out: Float64Array,
  values: Float64Array,
  degree: number,
  table: Float64Array,
  at: number,
): void {
  const stride = degree + 1;
  for (let k = 0; k < degree; k++)
    for (let l = 0; l < degree; l++)
      for (let m = 0; m < degree; m++) {
        let sum = 0;
        for (let t = 0; t < 8; t++) {
          const x = ((k + (t & 1)) * stride + l + ((t >> 1) & 1)) * stride + m + (t >> 2);
          sum += table[at + t]! * values[x]!;
        }
        out[(k * degree + l) * degree + m] = sum;
      }
}

/** The same in a new array. */
export function lower(
  values: Float64Array,
  degree: number,
  members: number,
  table: Float64Array,
  outcome: number,
): Float64Array {
  const out = new Float64Array(degree ** members);
  lowerInto(out, values, degree, members, table, outcome);
  return out;
}

/** Chance of an outcome from moments of degree one. */
export function chanceOf(
  values: Float64Array,
  members: number,
  table: Float64Array,
  outcome: number,
): number {
  const at = outcome << members;
  if (members === 0) return values[0]! * table[at]!;
  if (members === 1) return values[0]! * table[at]! + values[1]! * table[at + 1]!;
  if (members === 2)
    return (
      values[0]! * table[at]! +
      values[2]! * table[at + 1]! +
      values[1]! * table[at + 2]! +
      values[3]! * table[at + 3]!
    );
  let sum = 0;
  for (let t = 0; t < 8; t++)
    sum += table[at + t]! * values[(((t & 1) << 1) + ((t >> 1) & 1)) * 2 + (t >> 2)]!;
  return sum;
}

/** weight · chance of each outcome from `first` on, by moments of degree one, added to what lies in `out` from `at` on. */
export function addChances(
  out: Float64Array,
  at: number,
  weight: number,
  values: Float64Array,
  members: number,
  table: Float64Array,
  first: number,
  outcomes: number,
): void {
  if (members !== 2) {
    for (let o = first; o < outcomes; o++)
      out[at + o - first] = out[at + o - first]! + weight * chanceOf(values, members, table, o);
    return;
  }
  const [v0, v1, v2, v3] = [
    weight * values[0]!,
    weight * values[1]!,
    weight * values[2]!,
    weight * values[3]!,
  ];
  for (let o = first, x = at; o < outcomes; o++, x++) {
    const t = o << 2;
    out[x] = out[x]! + v0 * table[t]! + v2 * table[t + 1]! + v1 * table[t + 2]! + v3 * table[t + 3]!;
  }
}

/** P(G, outcomes in order) of every leaf, in the order of `countSpace`. */
export function leafChances(moments: Moments, table: Float64Array, space: CountSpace): Float64Array {
  const out = new Float64Array(space.size);
  new LeafWalk(space).add(out, 0, 1, moments.values, 0, moments.shown.length, table);
  return out;
}

/** The depth-first walk, with its buffers. */
export class LeafWalk {
  /** by members, then by starts left */
  private readonly buffers: Float64Array[][];
  private leaf = 0;

  constructor(private readonly space: CountSpace) {
    this.buffers = [0, 1, 2, 3].map((members) =>
      Array.from({ length: space.n + 1 }, (_, left) => new Float64Array((left + 1) ** members)),
    );
  }

  /** Adds weight · P(G, outcomes in order) of every leaf to what lies in `out` from `at` on; moments from `from` on. */
  add(
    out: Float64Array,
    at: number,
    weight: number,
    moments: Float64Array,
    from: number,
    members: number,
    table: Float64Array,
  ): void {
    this.leaf = at;
    const values = this.buffers[members]![this.space.n]!;
    for (let k = 0; k < values.length; k++) values[k] = moments[from + k]!;
    this.walk(out, weight, values, members, table, 0, this.space.n);
  }

  private walk(
    out: Float64Array,
    weight: number,
    values: Float64Array,
    members: number,
    table: Float64Array,
    outcome: number,
    left: number,
  ): void {
    const { outcomes } = this.space;
    if (left === 1) {
      addChances(out, this.leaf, weight, values, members, table, outcome, outcomes);
      this.leaf += outcomes - outcome;
      return;
    }
    const next = this.buffers[members]![left - 1]!;
    for (let o = outcome; o < outcomes; o++) {
      lowerInto(next, values, left, members, table, o);
      this.walk(out, weight, next, members, table, o, left - 1);
    }
  }
}

/** P(unlisted, outcomes in order) of every leaf. */
export function unlistedLeaves(
  unlisted: Unlisted,
  mass: number,
  key: string,
  space: CountSpace,
): Float64Array {
  const out = new Float64Array(space.size);
  if (mass === 0) return out;
  const chance = unlistedPredictive(unlisted, key);
  for (let leaf = 0; leaf < space.size; leaf++)
    out[leaf] = mass * chance(space.counts.subarray(leaf * space.outcomes, (leaf + 1) * space.outcomes));
  return out;
}
