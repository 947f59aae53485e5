/**
 * Distribution function and quantiles of a density on a fine rule.
 *
 * The soft points lie evenly in t, where r = 1/(1 + exp(−π sinh t)), so the integral up to a point is the trapezoidal sum
 * with its Euler–Maclaurin correction (Abramowitz & Stegun 23.1.30), and between points a quintic Hermite polynomial in t,
 * whose slopes are the weights themselves.
 */
import { softPoints, type Rule } from "./rule.js";

export interface Cumulative {
  /** t of the soft points, evenly spaced */
  at: Float64Array;
  /** P(r ≤ r(t)); same length */
  below: Float64Array;
  /** weights, which are slopes per step, and the slopes of those; same length */
  slope: Float64Array;
  bend: Float64Array;
}

export function tableOf(rule: Rule): Cumulative {
  const soft = softPoints(rule);
  const w = (k: number) => (k < 0 || k >= soft ? 0 : rule.weight[k]!);
  const at = placesOf(rule, soft);
  const below = new Float64Array(soft);
  const bend = new Float64Array(soft);
  let sum = 0;
  for (let k = 0; k < soft; k++) {
    const first = (w(k - 2) - 8 * w(k - 1) + 8 * w(k + 1) - w(k + 2)) / 12;
    const third = (w(k + 2) - 2 * w(k + 1) + 2 * w(k - 1) - w(k - 2)) / 2;
    bend[k] = first;
    below[k] = sum + w(k) / 2 - first / 12 + third / 720;
    sum += w(k);
  }
  return { at, below, slope: rule.weight.slice(0, soft), bend };
}

/** Many weights are laid on the same points. */
const places = new WeakMap<Float64Array, Float64Array>();

function placesOf({ rate, logRest }: Rule, soft: number): Float64Array {
  let at = places.get(rate);
  if (!at) {
    at = Float64Array.from({ length: soft }, (_, k) =>
      Math.asinh((Math.log(rate[k]!) - logRest[k]!) / Math.PI),
    );
    places.set(rate, at);
  }
  return at;
}

/** Smallest r with P(≤ r) ≥ p; 1 where p reaches into the hard point. */
export function quantile(table: Cumulative, p: number): number {
  const { at, below } = table;
  const last = below.length - 1;
  if (last < 1 || p > below[last]!) return 1;
  if (p <= below[0]!) return rateAt(at[0]!);
  let k = 0;
  while (below[k + 1]! < p) k++;
  let [low, high] = [0, 1];
  for (let turn = 0; turn < 50; turn++) {
    const middle = (low + high) / 2;
    if (hermite(table, k, middle) < p) low = middle;
    else high = middle;
  }
  return rateAt(at[k]! + low * (at[k + 1]! - at[k]!));
}

/** P(≤ r) for r < 1. */
export function below(table: Cumulative, rate: number): number {
  const { at } = table;
  const t = Math.asinh(Math.log(rate / (1 - rate)) / Math.PI);
  if (!(t > at[0]!)) return 0;
  const k = at.findIndex((x) => x >= t) - 1;
  return k < 0 ? table.below.at(-1)! : hermite(table, k, (t - at[k]!) / (at[k + 1]! - at[k]!));
}

const rateAt = (t: number) => 1 / (1 + Math.exp(-Math.PI * Math.sinh(t)));

/** P(≤ r) at a fraction x of the way from point k to the next. */
function hermite({ below, slope, bend }: Cumulative, k: number, x: number): number {
  const x2 = x * x;
  const x3 = x2 * x;
  const x4 = x2 * x2;
  const x5 = x4 * x;
  return (
    below[k]! * (1 - 10 * x3 + 15 * x4 - 6 * x5) +
    below[k + 1]! * (10 * x3 - 15 * x4 + 6 * x5) +
    slope[k]! * (x - 6 * x3 + 8 * x4 - 3 * x5) +
    slope[k + 1]! * (-4 * x3 + 7 * x4 - 3 * x5) +
    bend[k]! * 0.5 * (x2 - 3 * x3 + 3 * x4 - x5) +
    bend[k + 1]! * 0.5 * (x3 - 2 * x4 + x5)
  );
}
