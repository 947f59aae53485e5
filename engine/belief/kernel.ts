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
 * out = constant · w · Π clean · Π rows chance^exponent.
 * @param w  row-major over the three axes
 * @returns the sum of `out`
 */
export function weighTrials(
  out: Float64Array,
  w: Float64Array,
  axes: readonly [Axis, Axis, Axis],
  rows: readonly StopRow[],
  constant: number,
): number {
  const [A, B, C] = axes;
  const [na, nb, nc] = [A.show.length, B.show.length, C.show.length];
  const { show, hide, clean } = C;
  let sum = 0;
  let at = 0;
  for (let a = 0; a < na; a++) {
    for (let b = 0; b < nb; b++) {
      const outer = constant * A.clean[a]! * B.clean[b]!;
      for (let c = 0; c < nc; c++) out[at + c] = w[at + c]! * outer * clean[c]!;
      for (const { chance, exponent } of rows) {
        const [ha, sa, hb, sb] = [A.hide[a]!, A.show[a]!, B.hide[b]!, B.show[b]!];
        const hidden = hb * (chance[0]! * ha + chance[1]! * sa) + sb * (chance[2]! * ha + chance[3]! * sa);
        const shown = hb * (chance[4]! * ha + chance[5]! * sa) + sb * (chance[6]! * ha + chance[7]! * sa);
        if (exponent === 1) for (let c = 0; c < nc; c++) out[at + c] = out[at + c]! * (hidden * hide[c]! + shown * show[c]!);
        else
          for (let c = 0; c < nc; c++)
            out[at + c] = out[at + c]! * power(hidden * hide[c]! + shown * show[c]!, exponent);
      }
      for (let c = 0; c < nc; c++) sum += out[at + c]!;
      at += nc;
    }
  }
  return sum;
}
