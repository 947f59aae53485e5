/**
 * Rows of starts in one setup, as long as they stay clean.
 *
 * A start is clean where no active cause shows and the machine's own leak does not either, so m clean starts in a row have
 * the chance μ_m = h^m · E[ Π_i ((1 − η_i)(1 − q_i)^m + η_i) ], h the chance that a healthy machine is clean and η_i the
 * chance that the moves cleared cause i first. Everything about a batch that is told by its clean starts lies in μ_0 … μ_N,
 * which is one sum over the grid for all sizes of the batch together.
 */
import type { Belief } from "../belief/belief.js";
import type { Group } from "../belief/moments.js";
import { MAX_SIZE } from "../belief/sets.js";
import { weightsOf } from "../belief/weights.js";
import { powersAt, type Rule } from "../numeric/rule.js";
import type { Atom } from "./atoms.js";
import type { StartsPlan } from "./leafSums.js";

/** Starts in the longest batch. */
export const LONGEST = 12;

const ROWS = LONGEST + 1;

export class Runs {
  private readonly axes: (Float64Array | null)[] = [];
  private readonly sizes: number[] = [];
  private readonly buffers = Array.from({ length: MAX_SIZE + 1 }, () => new Float64Array(ROWS));
  /** by axis: 2^(axes from there on) patterns of N + 1 rows */
  private readonly wide = Array.from(
    { length: MAX_SIZE + 1 },
    (_, m) => new Float64Array(2 ** (MAX_SIZE - m) * (ROWS + 1)),
  );

  constructor(private readonly belief: Belief) {}

  /** Adds P(atom, m starts in which no cause shows), m = 0 … N, to what lies in `out` from `at` on. */
  addTo(out: Float64Array, at: number, { group }: Atom, plan: StartsPlan): void {
    const size = group.members.length;
    for (const { values, from, factor, fine } of weightsOf(this.belief, group)) {
      const points = this.setAxes(group, fine, plan);
      const runs = this.along(0, size, values, from, points);
      for (let r = 0; r < ROWS; r++) out[at + r] = out[at + r]! + runs[r]! * factor;
    }
  }

  /**
   * Adds, for every set t of the atom's members, P(atom, the members of t quiet in m starts and the others in m + 1),
   * m = 0 … N − 1, to what lies in `out` from t · N on: what is needed of a start that ends a clean row.
   */
  addEndings(out: Float64Array, { group }: Atom, plan: StartsPlan): void {
    const size = group.members.length;
    for (const { values, from, factor, fine } of weightsOf(this.belief, group)) {
      const points = this.setAxes(group, fine, plan);
      const patterns = this.alongWide(0, size, values, from, points);
      for (let t = 0; t < 1 << size; t++) {
        // the innermost axis is the lowest bit of a pattern
        let pattern = 0;
        for (let k = 0; k < size; k++) pattern = 2 * pattern + Number((t & (1 << k)) === 0);
        for (let r = 0; r < LONGEST; r++)
          out[t * LONGEST + r] = out[t * LONGEST + r]! + patterns[pattern * ROWS + r]! * factor;
      }
    }
  }

  /** The rows of every member's axis; null where nothing happens along it. */
  private setAxes({ members }: Group, fine: boolean, { exposure, efficacy }: StartsPlan): number {
    const { plan } = this.belief;
    const own = fine ? plan.fine : plan.compact;
    let points = 1;
    members.forEach((i, m) => {
      this.sizes[m] = own[i]!.rate.length;
      this.axes[m] = exposure[i]! > 0 ? rowsOf(own[i]!, exposure[i]!, efficacy[i]!) : null;
      points *= this.sizes[m]!;
    });
    return points;
  }

  /** Σ over the grid from axis m on, for every row. */
  private along(m: number, size: number, values: Float64Array, from: number, points: number): Float64Array {
    const sum = this.buffers[m]!;
    if (size === 0) return sum.fill(values[from]!);
    const rows = this.axes[m]!;
    const n = this.sizes[m]!;
    if (m === size - 1) {
      if (rows === null) return sum.fill(total(values, from, n));
      dots(sum, ROWS, rows, values, from, n);
      return sum;
    }
    const inner = points / n;
    if (rows === null) {
      sum.set(this.along(m + 1, size, collapsed(values, from, n, inner), 0, inner));
      return sum;
    }
    sum.fill(0);
    for (let x = 0; x < n; x++) {
      const part = this.along(m + 1, size, values, from + x * inner, inner);
      for (let r = 0; r < ROWS; r++) sum[r] = sum[r]! + rows[r * n + x]! * part[r]!;
    }
    return sum;
  }

  /** The same for every pattern: bit 1 where the axis stays quiet for one start more. */
  private alongWide(
    m: number,
    size: number,
    values: Float64Array,
    from: number,
    points: number,
  ): Float64Array {
    const sum = this.wide[m]!;
    if (m === size) {
      sum.fill(values[from]!, 0, ROWS);
      return sum;
    }
    const rows = this.axes[m]!;
    const n = this.sizes[m]!;
    const half = 2 ** (size - m - 1) * ROWS;
    const inner = points / n;
    if (rows === null) {
      const part = this.alongWide(m + 1, size, collapsed(values, from, n, inner), 0, inner);
      sum.set(part.subarray(0, half));
      sum.copyWithin(half, 0, half);
      return sum;
    }
    if (m === size - 1) {
      dots(sum, ROWS + 1, rows, values, from, n);
      for (let r = ROWS - 1; r >= 0; r--) sum[ROWS + r] = sum[r + 1]!;
      return sum;
    }
    sum.fill(0, 0, 2 * half);
    for (let x = 0; x < n; x++) {
      const part = this.alongWide(m + 1, size, values, from + x * inner, inner);
      for (let b = 0; b < 2; b++)
        for (let at = 0; at < half; at += ROWS)
          for (let r = 0; r < ROWS; r++)
            sum[b * half + at + r] = sum[b * half + at + r]! + rows[(r + b) * n + x]! * part[at + r]!;
    }
    return sum;
  }
}

/** The first `rows` rows times the n values from `from` on; two at a time, so that sums need not wait for one another. */
function dots(
  out: Float64Array,
  count: number,
  rows: Float64Array,
  values: Float64Array,
  from: number,
  n: number,
): void {
  let r = 0;
  for (; r + 1 < count; r += 2) {
    let even = 0;
    let odd = 0;
    for (let x = 0, a = r * n, b = a + n; x < n; x++, a++, b++) {
      const w = values[from + x]!;
      even += rows[a]! * w;
      odd += rows[b]! * w;
    }
    out[r] = even;
    out[r + 1] = odd;
  }
  if (r === count) return;
  let last = 0;
  for (let x = 0, a = r * n; x < n; x++, a++) last += rows[a]! * values[from + x]!;
  out[r] = last;
}

function total(values: Float64Array, from: number, n: number): number {
  let sum = 0;
  for (let x = 0; x < n; x++) sum += values[from + x]!;
  return sum;
}

/** Summed over its outer axis of n points. */
function collapsed(values: Float64Array, from: number, n: number, inner: number): Float64Array {
  const sum = new Float64Array(inner);
  for (let x = 0, at = from; x < n; x++) for (let y = 0; y < inner; y++, at++) sum[y] = sum[y]! + values[at]!;
  return sum;
}

/** By exposure, then by η: kept with the rule, since every press asks for them again. */
const known = new WeakMap<Rule, Map<number, Map<number, Float64Array>>>();

/** (1 − η)(1 − q)^m + η, m = 0 … N + 1, at every point of a rule; row-major. */
function rowsOf(rule: Rule, exposure: number, eta: number): Float64Array {
  let own = known.get(rule);
  if (!own) known.set(rule, (own = new Map()));
  let byEfficacy = own.get(exposure);
  if (!byEfficacy) own.set(exposure, (byEfficacy = new Map()));
  let rows = byEfficacy.get(eta);
  if (!rows) byEfficacy.set(eta, (rows = makeRows(powersAt(rule, exposure, 1), eta)));
  return rows;
}

/** @param chances  [hide, show] of every point, as `powersAt` gives for one start */
function makeRows(chances: Float64Array, eta: number): Float64Array {
  const points = chances.length / 2;
  const rows = new Float64Array((ROWS + 1) * points);
  for (let x = 0; x < points; x++)
    for (let m = 0, power = 1 - eta; m <= ROWS; m++, power *= chances[x]!) rows[m * points + x] = power + eta;
  return rows;
}
