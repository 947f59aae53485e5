/**
 * The hypotheses: every set F of at most K causes, with its prior weight; `unlisted` stands beside them.
 *
 * Order: the empty set, the singles 1 … C, the pairs, the triples, each in lexicographic order. A subset G of F (what is
 * still at work) is a bit mask over F's members: bit m for the m-th member.
 */
export const MAX_SIZE = 3;

export interface Sets {
  /** C */
  causes: number;
  /** K */
  maxCauses: number;
  /** number of sets */
  count: number;
  /** members of set f at f·3 …, −1 where it has fewer */
  members: Int16Array;
  size: Uint8Array;
  /** the same members, a list for each set */
  lists: readonly (readonly number[])[];
  /** first set of each size; start[size + 1] ends it; length 5 */
  start: Int32Array;
}

/** All sets of at most K of C causes. K beyond C is C. */
export function enumerateSets(causes: number, maxCauses: number): Sets {
  const lists: number[][] = [[]];
  const start = [0, 1];
  const extend = (list: number[]) => {
    for (let i = list.at(-1) === undefined ? 0 : list.at(-1)! + 1; i < causes; i++) lists.push([...list, i]);
  };
  for (let size = 1; size <= MAX_SIZE; size++) {
    if (size <= maxCauses) for (let f = start[size - 1]!; f < start[size]!; f++) extend(lists[f]!);
    start.push(lists.length);
  }
  const members = new Int16Array(lists.length * MAX_SIZE).fill(-1);
  lists.forEach((list, f) => members.set(list, f * MAX_SIZE));
  return {
    causes,
    maxCauses,
    count: lists.length,
    members,
    size: Uint8Array.from(lists, (list) => list.length),
    lists,
    start: Int32Array.from(start),
  };
}

/** Pairs of n things that come before {x, y}: those that begin before x, then those with x before y. */
const pairsBefore = (n: number, x: number, y: number) => x * n - (x * (x + 1)) / 2 + (y - x - 1);

const choose3 = (n: number) => (n * (n - 1) * (n - 2)) / 6;

/** Index of the set of the given members (rising, at most K of them). */
export function indexOfSet(sets: Sets, a = -1, b = -1, c = -1): number {
  const C = sets.causes;
  if (a < 0) return 0;
  if (b < 0) return sets.start[1]! + a;
  if (c < 0) return sets.start[2]! + pairsBefore(C, a, b);
  const triples = choose3(C) - choose3(C - a) + pairsBefore(C - a - 1, b - a - 1, c - a - 1);
  return sets.start[3]! + triples;
}

/** Index of the set that mask `mask` of set f selects. */
export function subsetIndex(sets: Sets, f: number, mask: number): number {
  const chosen: number[] = [];
  for (let m = 0; m < sets.size[f]!; m++) if (mask & (1 << m)) chosen.push(sets.members[f * MAX_SIZE + m]!);
  return indexOfSet(sets, ...chosen);
}

/** Prior weights. */
export interface PriorWeights {
  /** P(F) of each set; length sets.count */
  set: Float64Array;
  /** P(unlisted) */
  unlisted: number;
  /** mass that sets of more than K causes would have had */
  truncated: number;
}

/**
 * P(∅) = ν, P(unlisted) = u, and 1 − ν − u shared among the non-empty sets in proportion to Π odds; with no non-empty
 * set kept, only ν and u remain, in their ratio.
 *
 * @param odds  o_i = p_i / (1 − p_i), length C
 * Source: project model, section 3.
 */
export function priorWeights(
  sets: Sets,
  odds: Float64Array,
  nothingWrong: number,
  unlisted: number,
): PriorWeights {
  const set = new Float64Array(sets.count);
  let kept = 0;
  for (let f = 1; f < sets.count; f++) {
    let product = 1;
    for (let m = 0; m < sets.size[f]!; m++) product *= odds[sets.members[f * MAX_SIZE + m]!]!;
    set[f] = product;
    kept += product;
  }
  const share = 1 - nothingWrong - unlisted;
  const beyond = sumOfLargerSets(odds, sets.maxCauses);
  if (kept === 0) {
    const both = nothingWrong + unlisted || 1;
    set[0] = nothingWrong + unlisted === 0 ? 1 : nothingWrong / both;
    return { set, unlisted: unlisted / both, truncated: beyond > 0 ? share : 0 };
  }
  for (let f = 1; f < sets.count; f++) set[f] = (share * set[f]!) / kept;
  set[0] = nothingWrong;
  return { set, unlisted, truncated: (share * beyond) / (kept + beyond) };
}

/** Σ over sets of more than K causes of Π odds: the tail of the elementary symmetric polynomials, all terms positive. */
function sumOfLargerSets(odds: Float64Array, maxCauses: number): number {
  const bySize = new Float64Array(odds.length + 1);
  bySize[0] = 1;
  odds.forEach((o, i) => {
    for (let size = i + 1; size >= 1; size--) bySize[size] = bySize[size]! + o * bySize[size - 1]!;
  });
  let sum = 0;
  for (let size = bySize.length - 1; size > maxCauses; size--) sum += bySize[size]!;
  return sum;
}
