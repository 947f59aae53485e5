/**
 * Chances of every count of outcomes over n starts in one setup.
 *
 * Counts, not sequences: C(n + S, S) of them. They are walked depth first, an outcome at a time in non-decreasing order;
 * each outcome lowers the degree of the moments by one, so a leaf costs one number. The walk is done once for each active
 * set and setup class; a leaf holds P(G, these outcomes in this order), without the multinomial coefficient.
 */
import type { Moments } from "./moments.js";
import { outcomeChance, type Stages } from "./outcomes.js";
import { addStarts, logUnlisted, type Unlisted } from "./unlisted.js";

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

/** Chances of each outcome by which of the shown members show; outcomes × 2^m, row-major. */
export function outcomeTable(stages: Stages, shown: readonly number[]): Float64Array {
  const subsets = 1 << shown.length;
  const table = new Float64Array(stages.outcomes * subsets);
  const wanted = new Uint8Array(stages.outcomes);
  for (let o = 0; o < stages.outcomes; o++) {
    wanted.fill(0)[o] = 1;
    table.set(setTable(stages, wanted, shown), o * subsets);
  }
  return table;
}

/** The same for a set of outcomes: 2^m numbers. */
export function setTable(stages: Stages, wanted: Uint8Array, shown: readonly number[]): Float64Array {
  const [a, b, c] = [shown[0] ?? -1, shown[1] ?? -1, shown[2] ?? -1];
  return Float64Array.from({ length: 1 << shown.length }, (_, t) =>
    outcomeChance(stages, wanted, t & 1 ? a : -1, t & 2 ? b : -1, t & 4 ? c : -1),
  );
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

function lowerTwo(out: Float64Array, values: Float64Array, degree: number, table: Float64Array, at: number): void {
  const c0 = table[at]!;
  const c1 = table[at + 1]!;
  const c2 = table[at + 2]!;
  const c3 = table[at + 3]!;
  const stride = degree + 1;
  for (let k = 0; k < degree; k++)
    for (let l = 0; l < degree; l++) {
      const x = k * stride + l;
      out[k * degree + l] = c0 * values[x]! + c1 * values[x + stride]! + c2 * values[x + 1]! + c3 * values[x + stride + 1]!;
    }
}

function lowerThree(out: Float64Array, values: Float64Array, degree: number, table: Float64Array, at: number): void {
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
export function lower(values: Float64Array, degree: number, members: number, table: Float64Array, outcome: number): Float64Array {
  const out = new Float64Array(degree ** members);
  lowerInto(out, values, degree, members, table, outcome);
  return out;
}

/** Chance of an outcome from moments of degree one. */
export function chanceOf(values: Float64Array, members: number, table: Float64Array, outcome: number): number {
  const at = outcome << members;
  if (members === 0) return values[0]! * table[at]!;
  if (members === 1) return values[0]! * table[at]! + values[1]! * table[at + 1]!;
  if (members === 2)
    return values[0]! * table[at]! + values[2]! * table[at + 1]! + values[1]! * table[at + 2]! + values[3]! * table[at + 3]!;
  let sum = 0;
  for (let t = 0; t < 8; t++) sum += table[at + t]! * values[(((t & 1) << 1) + ((t >> 1) & 1)) * 2 + (t >> 2)]!;
  return sum;
}

/** P(G, outcomes in order) of every leaf, in the order of `countSpace`. */
export function leafChances(moments: Moments, table: Float64Array, space: CountSpace): Float64Array {
  const members = moments.shown.length;
  const { n, outcomes } = space;
  const out = new Float64Array(space.size);
  const buffers = Array.from({ length: n + 1 }, (_, left) => (left === n ? moments.values : new Float64Array((left + 1) ** members)));
  let leaf = 0;
  const walk = (outcome: number, left: number): void => {
    const values = buffers[left]!;
    if (left === 1) {
      for (let o = outcome; o < outcomes; o++) out[leaf++] = chanceOf(values, members, table, o);
      return;
    }
    for (let o = outcome; o < outcomes; o++) {
      lowerInto(buffers[left - 1]!, values, left, members, table, o);
      walk(o, left - 1);
    }
  };
  walk(0, n);
  return out;
}

/** P(unlisted, outcomes in order) of every leaf. */
export function unlistedLeaves(unlisted: Unlisted, mass: number, key: string, space: CountSpace): Float64Array {
  const before = logUnlisted(unlisted);
  const out = new Float64Array(space.size);
  if (mass === 0) return out;
  const single = Array.from({ length: space.outcomes }, (_, o) => {
    const wanted = new Uint8Array(space.outcomes);
    wanted[o] = 1;
    return wanted;
  });
  for (let leaf = 0; leaf < space.size; leaf++) {
    const rows = single.flatMap((wanted, o) => {
      const n = space.counts[leaf * space.outcomes + o]!;
      return n > 0 ? [{ wanted, n }] : [];
    });
    out[leaf] = mass * Math.exp(logUnlisted(addStarts(unlisted, key, rows, 1)) - before);
  }
  return out;
}
