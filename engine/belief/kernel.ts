/**
 * The inner loop of a start: weights over a grid of rates times the chance of what was seen.
 *
 * A set of causes has a grid of one axis a member, padded to three. Along an axis lie q, the chance that the member shows
 * in this trial, and 1 − q; an inactive or unexposed member has q = 0. The chance of an outcome is linear in each q, so
 * eight numbers a row (one for each subset that may show) are all the kernel needs.
 */
import { power } from "../numeric/power.js";

/** One member along its axis; arrays of one length N. */
export interface Axis {
  /** chance to show in a trial of this setup */
  show: Float64Array;
  /** its complement (1 − r)^e */
  hide: Float64Array;
  /** factor of the clean starts in the batch, (1 − q)^n */
  clean: Float64Array;
}

/** Rows of one batch that are not plain clean starts. */
export interface StopRow {
  /** P(seen | subset shows): bit 0, 1, 2 for axis 0, 1, 2; length 8 */
  chance: Float64Array;
  exponent: number;
}

/** An axis of one point on which nothing happens. */
export const UNIT: Axis = { show: Float64Array.of(0), hide: Float64Array.of(1), clean: Float64Array.of(1) };

/** An axis of N points on which nothing happens. */
const idle = new Map<number, Axis>();
export function idleAxis(size: number): Axis {
  let axis = idle.get(size);
  if (!axis) {
    const one = new Float64Array(size).fill(1);
    idle.set(size, (axis = { show: new Float64Array(size), hide: one, clean: one }));
  }
  return axis;
}

/**
 * out = constant · w · Π clean · Π rows chance^exponent, from `from` on in both.
 * @param w  row-major over the three axes
 * @returns the sum of `out`
 */
export function weighTrials(
  out: Float64Array,
  w: Float64Array,
  from: number,
  axes: readonly [Axis, Axis, Axis],
  rows: readonly StopRow[],
  constant: number,
): number {
  const A = axes[0];
  const B = axes[1];
  const { show, hide, clean } = axes[2];
  const [na, nb, nc] = [A.show.length, B.show.length, show.length];
  // one stop, what nearly every press is: a single pass
  const plain = rows.length === 1 && rows[0]!.exponent === 1 ? rows[0]!.chance : null;
  let sum = 0;
  let at = from;
  for (let a = 0; a < na; a++)
    for (let b = 0; b < nb; b++, at += nc) {
      const outer = constant * A.clean[a]! * B.clean[b]!;
      if (plain) {
        const hidden = outer * twoAxes(plain, 0, A, B, a, b);
        const shown = outer * twoAxes(plain, 4, A, B, a, b);
        for (let c = 0; c < nc; c++) {
          const weight = w[at + c]! * clean[c]! * (hidden * hide[c]! + shown * show[c]!);
          out[at + c] = weight;
          sum += weight;
        }
        continue;
      }
      for (let c = 0; c < nc; c++) out[at + c] = w[at + c]! * outer * clean[c]!;
      for (let r = 0; r < rows.length; r++) {
        const { chance, exponent } = rows[r]!;
        const hidden = twoAxes(chance, 0, A, B, a, b);
        const shown = twoAxes(chance, 4, A, B, a, b);
        if (exponent === 1)
          for (let c = 0; c < nc; c++) out[at + c] = out[at + c]! * (hidden * hide[c]! + shown * show[c]!);
        else
          for (let c = 0; c < nc; c++)
            out[at + c] = out[at + c]! * power(hidden * hide[c]! + shown * show[c]!, exponent);
      }
      for (let c = 0; c < nc; c++) sum += out[at + c]!;
    }
  return sum;
}

/** Σ over which of the first two axes show, the third hidden (t = 0) or shown (t = 4). */
function twoAxes(chance: Float64Array, t: number, A: Axis, B: Axis, a: number, b: number): number {
  const low = chance[t]! * A.hide[a]! + chance[t + 1]! * A.show[a]!;
  const high = chance[t + 2]! * A.hide[a]! + chance[t + 3]! * A.show[a]!;
  return B.hide[b]! * low + B.show[b]! * high;
}
