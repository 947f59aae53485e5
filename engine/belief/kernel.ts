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
  /** the first two times the third */
  cleanShow: Float64Array;
  cleanHide: Float64Array;
}

/** Rows of one batch that are not plain clean starts. */
export interface StopRow {
  /** P(seen | subset shows): bit 0, 1, 2 for axis 0, 1, 2; length 8 */
  chance: Float64Array;
  exponent: number;
}

/** @param clean  null: there are no clean starts in the batch */
export function axisOf(show: Float64Array, hide: Float64Array, clean: Float64Array | null): Axis {
  if (!clean) return { show, hide, clean: idleAxis(show.length).clean, cleanShow: show, cleanHide: hide };
  return { show, hide, clean, cleanShow: product(show, clean), cleanHide: product(hide, clean) };
}

function product(x: Float64Array, y: Float64Array): Float64Array {
  const out = new Float64Array(x.length);
  for (let k = 0; k < out.length; k++) out[k] = x[k]! * y[k]!;
  return out;
}

/** An axis of N points on which nothing happens. */
const idle = new Map<number, Axis>();
export function idleAxis(size: number): Axis {
  let axis = idle.get(size);
  if (!axis) {
    const [never, always] = [new Float64Array(size), new Float64Array(size).fill(1)];
    axis = { show: never, hide: always, clean: always, cleanShow: never, cleanHide: always };
    idle.set(size, axis);
  }
  return axis;
}

/** An axis of one point on which nothing happens. */
export const UNIT: Axis = idleAxis(1);

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
  const [A, B, C] = axes;
  const weighPlane = rows.length === 0 ? cleanPlane : isOneStop(rows) ? stopPlane : anyPlane;
  const points = B.show.length * C.show.length;
  let sum = 0;
  for (let a = 0, at = from; a < A.show.length; a++, at += points)
    sum += weighPlane(out, w, at, constant * A.clean[a]!, rows, A, a, B, C);
  return sum;
}

const isOneStop = (rows: readonly StopRow[]) => rows.length === 1 && rows[0]!.exponent === 1;

/**
 * The plane of the second and third axis at point `a` of the first, from `at` on: each kind of batch has a loop of its own.
 * @param by  what belongs to the whole plane
 */
type WeighPlane = (
  out: Float64Array,
  w: Float64Array,
  at: number,
  by: number,
  rows: readonly StopRow[],
  A: Axis,
  a: number,
  B: Axis,
  C: Axis,
) => number;

const cleanPlane: WeighPlane = (out, w, at, by, _rows, _A, _a, { clean: first }, { clean: second }) => {
  const nb = first.length;
  const nc = second.length;
  let sum = 0;
  for (let b = 0; b < nb; b++, at += nc) {
    const outer = by * first[b]!;
    let row = 0;
    for (let c = 0; c < nc; c++) {
      const weight = w[at + c]! * (outer * second[c]!);
      out[at + c] = weight;
      row += weight;
    }
    sum += row;
  }
  return sum;
};

const stopPlane: WeighPlane = (out, w, at, by, rows, A, a, B, { cleanHide, cleanShow }) => {
  const [neither, second, third, both] = overFirst(rows[0]!.chance, A, a);
  const nb = B.show.length;
  const nc = cleanHide.length;
  let sum = 0;
  for (let b = 0; b < nb; b++, at += nc) {
    const hide = by * B.cleanHide[b]!;
    const show = by * B.cleanShow[b]!;
    const hidden = neither * hide + second * show;
    const shown = third * hide + both * show;
    let row = 0;
    for (let c = 0; c < nc; c++) {
      const weight = w[at + c]! * (hidden * cleanHide[c]! + shown * cleanShow[c]!);
      out[at + c] = weight;
      row += weight;
    }
    sum += row;
  }
  return sum;
};

const anyPlane: WeighPlane = (out, w, from, by, rows, A, a, B, C) => {
  const [nb, nc] = [B.show.length, C.show.length];
  let sum = cleanPlane(out, w, from, by, rows, A, a, B, C);
  for (const { chance, exponent } of rows) {
    const [neither, second, third, both] = overFirst(chance, A, a);
    sum = 0;
    for (let b = 0, at = from; b < nb; b++, at += nc) {
      const hidden = neither * B.hide[b]! + second * B.show[b]!;
      const shown = third * B.hide[b]! + both * B.show[b]!;
      for (let c = 0; c < nc; c++) {
        const here = hidden * C.hide[c]! + shown * C.show[c]!;
        const raised = exponent === 1 ? here : exponent === 0.5 ? Math.sqrt(here) : power(here, exponent);
        const weight = out[at + c]! * raised;
        out[at + c] = weight;
        sum += weight;
      }
    }
  }
  return sum;
};

/** P(row) with the first axis summed, by which of the second and third show: neither, second, third, both. */
function overFirst(chance: Float64Array, { hide, show }: Axis, a: number): [number, number, number, number] {
  const hidden = hide[a]!;
  const shown = show[a]!;
  return [
    chance[0]! * hidden + chance[1]! * shown,
    chance[2]! * hidden + chance[3]! * shown,
    chance[4]! * hidden + chance[5]! * shown,
    chance[6]! * hidden + chance[7]! * shown,
  ];
}
