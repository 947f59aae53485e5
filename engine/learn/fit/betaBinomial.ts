/**
 * k of n starts stopped, the chance of a stop drawn once a ticket: r ~ h·δ(1) + (1 − h)·Beta(a, b).
 *
 *   P(k of n) = h·[k = n] + (1 − h)·B(a + k, b + n − k)/B(a, b)          starts in order: no binomial coefficient
 *   P(k of n | k ≥ 1) = P(k of n) / (1 − P(0 of n))                      where only a fault that showed could be confirmed
 *
 * Coordinates in which everything is free: x = (logit h, logit m, ln c), m = a/(a + b), c = a + b.
 * Source: project model, sections 4 and 11; beta–binomial, Skellam 1948 (JRSS B 10).
 */
import lnGamma from "@stdlib/math-base-special-gammaln";
import { digamma } from "../../numeric/digamma.js";

/** `weight` tickets with k of n. */
export interface Count {
  stops: number;
  starts: number;
  /** conditioned on k ≥ 1; a quiet ticket (k = 0) then says nothing */
  onlyShown: boolean;
  weight: number;
}

export interface Soft {
  hard: number;
  a: number;
  b: number;
}

export type Point = [logitHard: number, logitMean: number, logSize: number];

export const logit = (p: number): number => Math.log(p) - Math.log1p(-p);
export const logistic = (x: number): number =>
  x < 0 ? Math.exp(x) / (1 + Math.exp(x)) : 1 / (1 + Math.exp(-x));

export function softAt([h, m, c]: Point): Soft {
  const size = Math.exp(c);
  return { hard: logistic(h), a: logistic(m) * size, b: logistic(-m) * size };
}

/** @param least  a share of hard faults that is 0 or 1 in the catalog is taken to be this far from it */
export function pointOf({ hard, a, b }: Soft, least = 0.002): Point {
  return [logit(Math.min(1 - least, Math.max(least, hard))), Math.log(a) - Math.log(b), Math.log(a + b)];
}

/** ln of B(a + k, b + n − k)/B(a, b). */
export const logSoft = (a: number, b: number, k: number, n: number): number =>
  lnGamma(a + k) - lnGamma(a) + (lnGamma(b + n - k) - lnGamma(b)) - (lnGamma(a + b + n) - lnGamma(a + b));

/** ln P(k of n), not conditioned. */
export function logChance({ hard, a, b }: Soft, k: number, n: number): number {
  const soft = Math.log1p(-hard) + logSoft(a, b, k, n);
  if (k < n || hard === 0) return soft;
  return Math.log(hard + Math.exp(soft));
}

/** ln Γ(x + k) − ln Γ(x) and its derivative in x, for whole k. */
interface Rising {
  log(k: number): number;
  slope(k: number): number;
}

/** Up to so many starts the sums are made once and looked up. */
const LOOKED_UP = 256;

function risingOf(x: number, upTo: number): Rising {
  if (upTo > LOOKED_UP) {
    const [log, psi] = [lnGamma(x), digamma(x)];
    return { log: (k) => lnGamma(x + k) - log, slope: (k) => digamma(x + k) - psi };
  }
  const [logs, slopes] = [[0], [0]]; // plain lists: a fit makes millions, and typed ones live outside the heap
  for (let k = 0; k < upTo; k++) {
    logs.push(logs[k]! + Math.log(x + k));
    slopes.push(slopes[k]! + 1 / (x + k));
  }
  return { log: (k) => logs[k]!, slope: (k) => slopes[k]! };
}

/** Σ weight · ln P, and its gradient in x. */
export function logLikelihood(x: Point, counts: readonly Count[]): { value: number; gradient: Point } {
  const { hard, a, b } = softAt(x);
  const size = a + b;
  const mean = a / size;
  let most = 0;
  for (const { starts } of counts) if (starts > most) most = starts;
  const [ofA, ofB, ofSize] = [risingOf(a, most), risingOf(b, most), risingOf(size, most)];
  const gradient: Point = [0, 0, 0];
  const slope: Point = [0, 0, 0];
  let value = 0;

  /** P, its gradient into `slope`; a hard fault stops every start */
  function chance(k: number, n: number): number {
    const soft = Math.exp(ofA.log(k) + ofB.log(n - k) - ofSize.log(n));
    const all = k === n ? 1 : 0;
    const bySize = ofSize.slope(n);
    const byA = (1 - hard) * soft * (ofA.slope(k) - bySize);
    const byB = (1 - hard) * soft * (ofB.slope(n - k) - bySize);
    slope[0] = hard * (1 - hard) * (all - soft);
    slope[1] = (byA - byB) * size * mean * (1 - mean);
    slope[2] = byA * a + byB * b;
    return hard * all + (1 - hard) * soft;
  }

  for (const { stops, starts, onlyShown, weight } of counts) {
    if (starts === 0 || (onlyShown && stops === 0)) continue;
    const p = chance(stops, starts);
    value += weight * Math.log(p);
    for (let j = 0; j < 3; j++) gradient[j]! += (weight * slope[j]!) / p;
    if (!onlyShown) continue;
    const quiet = chance(0, starts);
    value -= weight * Math.log1p(-quiet);
    for (let j = 0; j < 3; j++) gradient[j]! += (weight * slope[j]!) / (1 - quiet);
  }
  return { value, gradient };
}
