/**
 * Moments: all that the chances of outcomes need of a belief.
 *
 * The chance of an outcome is linear in each active cause's chance q to show, so n starts in one setup need only
 *   E[ q^k (1 − q)^(n − k) ],  k = 0 … n,  for each member,
 * (n + 1)² of them for two, (n + 1)³ for three: no rate and no grid point enters after this. Hypotheses that share the
 * same active causes G share their moments: what becomes of the machine depends on G and its members' rates alone.
 */
import type { Belief } from "./belief.js";
import { powersAt } from "../numeric/rule.js";
import { subsetIndex } from "./sets.js";
import { pointsAlong, weightsOf, type Weights } from "./weights.js";

/** Moments of one active set G in one setup. */
export interface Moments {
  /** members of G that the setup exposes, rising */
  shown: readonly number[];
  /** Σ over F and grid of w · Π q^k (1 − q)^(n−k); (n + 1)^|shown|, row-major */
  values: Float64Array;
}

/** One active set: where its weights lie. */
export interface Group {
  /** index of G among the sets */
  set: number;
  members: readonly number[];
  /** P(G | record) */
  mass: number;
  /** positions set · masks + mask of the belief whose active set this is */
  places: readonly number[];
}

/** The distinct active sets of a belief that have any mass. */
export function groupsOf(belief: Belief): Group[] {
  const { model, masks, mass } = belief;
  const { sets } = model;
  const bySet: (Group & { places: number[] })[] = [];
  const groups: Group[] = [];
  for (let f = 0; f < sets.count; f++) {
    const full = (1 << sets.size[f]!) - 1;
    for (let mask = 0; mask <= full; mask++) {
      const at = f * masks + mask;
      if (!(mass[at]! > 0)) continue;
      const set = mask === full ? f : subsetIndex(sets, f, mask);
      const known = bySet[set];
      if (known) {
        known.mass += mass[at]!;
        known.places.push(at);
      } else groups.push((bySet[set] = { set, members: sets.lists[set]!, mass: mass[at]!, places: [at] }));
    }
  }
  return groups;
}

/** What is left out for being next to impossible holds less than this in all. */
const LEFT_OUT = 1e-12;

/** Those that hold any mass to speak of: leaving out the others moves no chance by more than 1e-12. */
export function withoutTraces<T>(all: readonly T[], massOf: (one: T) => number): T[] {
  const least = LEFT_OUT / all.length;
  return all.filter((one) => massOf(one) >= least);
}

export const mainGroupsOf = (belief: Belief): Group[] =>
  withoutTraces(groupsOf(belief), (group) => group.mass);

/** Moments up to n starts, made when first asked for and kept: candidates mostly expose a cause alike. */
export class MomentStore {
  /** by cause and rule, then by exposure */
  private readonly powers: Map<number, Float64Array>[];
  /** the table asked for last, by cause and rule: mostly the one asked for next */
  private readonly lastExposure: Float64Array;
  private readonly lastTable: Float64Array[];
  private readonly made = new Map<string, Moments>();

  constructor(
    readonly belief: Belief,
    readonly n: number,
  ) {
    this.powers = Array.from({ length: 2 * belief.model.causes.length }, () => new Map());
    this.lastExposure = new Float64Array(this.powers.length).fill(-1);
    this.lastTable = [];
  }

  /** @param exposure  of each cause in the setup of the starts; length C */
  of(group: Group, exposure: Float64Array): Moments {
    let key = `${group.set}`;
    for (const i of group.members) key += `,${exposure[i]!}`;
    let moments = this.made.get(key);
    if (!moments) this.made.set(key, (moments = this.make(group, exposure)));
    return moments;
  }

  /** From the grid, without keeping them. */
  make(group: Group, exposure: Float64Array): Moments {
    const shown = group.members.filter((i) => exposure[i]! > 0);
    const values = new Float64Array((this.n + 1) ** shown.length);
    this.addTo(values, 0, group, exposure);
    return { shown, values };
  }

  /** The same, added to what lies in `out` from `to` on. */
  addTo(out: Float64Array, to: number, group: Group, exposure: Float64Array): void {
    const { members } = group;
    let shown = 0;
    for (const i of members) if (exposure[i]! > 0) shown++;
    if (shown === 0) {
      out[to] = out[to]! + group.mass;
      return;
    }
    for (const weights of weightsOf(this.belief, group)) {
      if (members.length === 2 && this.n === 1) this.addPairOnce(out, to, members, weights, exposure);
      else if (shown === 2 && members.length === 2) this.addPair(out, to, members, weights, exposure);
      else this.addAny(out, to, members, weights, exposure);
    }
  }

  private readonly inner = new Float64Array(64);

  /** Two members, both shown: what nearly every set is, without a temporary array. */
  private addPair(
    out: Float64Array,
    to: number,
    members: readonly number[],
    { values, from, factor, fine }: Weights,
    exposure: Float64Array,
  ): void {
    const degrees = this.n + 1;
    const [a, b] = members as [number, number];
    const [first, second] = [this.table(a, exposure[a]!, fine), this.table(b, exposure[b]!, fine)];
    const [na, nb] = [first.length / degrees, second.length / degrees];
    for (let x = 0; x < na; x++) {
      for (let l = 0; l < degrees; l++) {
        let sum = 0;
        const row = l * nb;
        for (let y = 0; y < nb; y++) sum += second[row + y]! * values[from + x * nb + y]!;
        this.inner[l] = sum * factor;
      }
      for (let k = 0; k < degrees; k++) {
        const t = first[k * na + x]!;
        for (let l = 0; l < degrees; l++)
          out[to + k * degrees + l] = out[to + k * degrees + l]! + t * this.inner[l]!;
      }
    }
  }

  private readonly once = new Float64Array(4);

  /** Degree one of two members, of which one at least is shown: every press asks for it. */
  private addPairOnce(
    out: Float64Array,
    to: number,
    members: readonly number[],
    { values, from, factor, fine }: Weights,
    exposure: Float64Array,
  ): void {
    const [a, b] = members as [number, number];
    const [one, other] = [exposure[a]!, exposure[b]!];
    const once = pairOnce(this.once, values, from, this.table(a, one, fine), this.table(b, other, fine));
    // one that is not exposed is hidden whatever its rate
    const wanted = one > 0 && other > 0 ? BOTH : one > 0 ? FIRST : SECOND;
    wanted.forEach((k, place) => (out[to + place] = out[to + place]! + once[k]! * factor));
  }

  private addAny(
    out: Float64Array,
    to: number,
    members: readonly number[],
    { values, from, factor, fine }: Weights,
    exposure: Float64Array,
  ): void {
    const sizes = members.map((i) => pointsAlong(this.belief, i, fine));
    const tables = members.map((i) => (exposure[i]! > 0 ? this.table(i, exposure[i]!, fine) : null));
    const points = sizes.reduce((product, size) => product * size, 1);
    const part = contract(values.subarray(from, from + points), sizes, tables, this.n);
    for (let k = 0; k < part.length; k++) out[to + k] = out[to + k]! + part[k]! * factor;
  }

  /** q^k (1 − q)^(n−k) along a cause's axis: (n + 1) × N, row-major by k. */
  private table(i: number, exposure: number, fine: boolean): Float64Array {
    const place = 2 * i + Number(fine);
    if (this.lastExposure[place] === exposure) return this.lastTable[place]!;
    const own = this.powers[place]!;
    const { fine: onFine, compact } = this.belief.plan;
    const table = own.get(exposure) ?? powersAt((fine ? onFine : compact)[i]!, exposure, this.n);
    own.set(exposure, table);
    this.lastExposure[place] = exposure;
    this.lastTable[place] = table;
    return table;
  }
}

/** Which of the four moments of degree one are asked for, by which members are shown. */
const BOTH = [0, 1, 2, 3];
const FIRST = [0, 2];
const SECOND = [0, 1];

/**
 * The moments of degree one of a grid: both hidden, the second shown, the first shown, both.
 * @param first  chances to be hidden along the first axis, then to be shown; 2 × N
 */
function pairOnce(
  once: Float64Array,
  values: Float64Array,
  from: number,
  first: Float64Array,
  second: Float64Array,
): Float64Array {
  const na = first.length >> 1;
  const nb = second.length >> 1;
  once.fill(0);
  // two rows at a time, which need not wait for each other's sums; an odd last one is read twice and counted once
  for (let x = 0, at = from; x < na; x += 2, at += 2 * nb) {
    const next = x + 1 < na ? 1 : 0;
    let hidden = 0;
    let shown = 0;
    let nextHidden = 0;
    let nextShown = 0;
    for (let y = 0; y < nb; y++) {
      const hide = second[y]!;
      const show = second[nb + y]!;
      const w = values[at + y]!;
      const v = values[at + next * nb + y]!;
      hidden += hide * w;
      shown += show * w;
      nextHidden += hide * v;
      nextShown += show * v;
    }
    const low = first[x]!;
    const high = first[na + x]!;
    const nextLow = next * first[x + next]!;
    const nextHigh = next * first[na + x + next]!;
    once[0] = once[0]! + low * hidden + nextLow * nextHidden;
    once[1] = once[1]! + low * shown + nextLow * nextShown;
    once[2] = once[2]! + high * hidden + nextHigh * nextHidden;
    once[3] = once[3]! + high * shown + nextHigh * nextShown;
  }
  return once;
}

/** Sum a grid over all its axes: with the table's rows along a shown axis, plainly along the others. */
function contract(
  grid: Float64Array,
  sizes: number[],
  tables: (Float64Array | null)[],
  n: number,
): Float64Array {
  let values = grid;
  let rows = 1; // moments made so far, the innermost index
  let outer = grid.length;
  for (let m = sizes.length - 1; m >= 0; m--) {
    const size = sizes[m]!;
    const table = tables[m] ?? null;
    const made = table ? n + 1 : 1;
    outer /= size;
    const next = new Float64Array(outer * made * rows);
    if (rows === 1) sumInnermost(values, next, outer, size, made, table);
    else sumAxis(values, next, outer, size, made, rows, table);
    values = next;
    rows *= made;
  }
  return values;
}

function sumInnermost(
  values: Float64Array,
  next: Float64Array,
  outer: number,
  size: number,
  made: number,
  table: Float64Array | null,
): void {
  for (let o = 0; o < outer; o++)
    for (let k = 0; k < made; k++) {
      let sum = 0;
      const [from, row] = [o * size, k * size];
      if (table) for (let x = 0; x < size; x++) sum += table[row + x]! * values[from + x]!;
      else for (let x = 0; x < size; x++) sum += values[from + x]!;
      next[o * made + k] = sum;
    }
}

function sumAxis(
  values: Float64Array,
  next: Float64Array,
  outer: number,
  size: number,
  made: number,
  rows: number,
  table: Float64Array | null,
): void {
  for (let o = 0; o < outer; o++)
    for (let k = 0; k < made; k++)
      for (let x = 0; x < size; x++) {
        const t = table ? table[k * size + x]! : 1;
        const from = (o * size + x) * rows;
        const to = (o * made + k) * rows;
        for (let r = 0; r < rows; r++) next[to + r] = next[to + r]! + t * values[from + r]!;
      }
}

/** Moments with one shown member no longer at work: 1 = Σ_k C(n, k) q^k (1 − q)^(n−k). */
export function withoutMember({ shown, values }: Moments, member: number, n: number): Moments {
  const axis = shown.indexOf(member);
  if (axis < 0) return { shown, values };
  const inner = (n + 1) ** (shown.length - 1 - axis);
  const outer = (n + 1) ** axis;
  const rest = new Float64Array(outer * inner);
  for (let o = 0; o < outer; o++) {
    let choose = 1;
    for (let k = 0; k <= n; k++) {
      for (let x = 0; x < inner; x++)
        rest[o * inner + x] = rest[o * inner + x]! + choose * values[(o * (n + 1) + k) * inner + x]!;
      choose = (choose * (n - k)) / (k + 1);
    }
  }
  return { shown: shown.filter((i) => i !== member), values: rest };
}

/** The mass that moments of degree n belong to: Σ_k C(n, k) q^k (1 − q)^(n−k) = 1 along every axis. */
export function totalMoment(values: Float64Array, n: number, members: number): number {
  let left = values;
  for (let m = 0; m < members; m++) {
    const outer = left.length / (n + 1);
    const next = new Float64Array(outer);
    for (let o = 0; o < outer; o++) {
      let choose = 1;
      for (let k = 0; k <= n; k++) {
        next[o] = next[o]! + choose * left[o * (n + 1) + k]!;
        choose = (choose * (n - k)) / (k + 1);
      }
    }
    left = next;
  }
  return left[0]!;
}
