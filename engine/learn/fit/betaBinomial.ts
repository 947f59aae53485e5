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

/** Σ weight · ln P, and its gradient in x. */
export function logLikelihood(x: Point, counts: readonly Count[]): { value: number; gradient: Point } {
  const { hard, a, b } = softAt(x);
  const size = a + b;
  const mean = a / size;
  const gradient: Point = [0, 0, 0];
  let value = 0;
  // derivatives of ln Γ at the prior's own parameters serve every count
  const [psiA, psiB, psiSize] = [digamma(a), digamma(b), digamma(size)];

  /** P and its gradient; `all` where every start stopped, which a hard fault does too */
  function chance(k: number, n: number): [p: number, d: Point] {
    const soft = Math.exp(logSoft(a, b, k, n));
    const isAll = k === n ? 1 : 0;
    const toSize = digamma(size + n) - psiSize;
    const byA = (1 - hard) * soft * (digamma(a + k) - psiA - toSize);
    const byB = (1 - hard) * soft * (digamma(b + n - k) - psiB - toSize);
    return [
      hard * isAll + (1 - hard) * soft,
      [hard * (1 - hard) * (isAll - soft), (byA - byB) * size * mean * (1 - mean), byA * a + byB * b],
    ];
  }

  for (const { stops, starts, onlyShown, weight } of counts) {
    if (starts === 0 || (onlyShown && stops === 0)) continue;
    const [p, d] = chance(stops, starts);
    value += weight * Math.log(p);
    for (let j = 0; j < 3; j++) gradient[j]! += (weight * d[j]!) / p;
    if (!onlyShown) continue;
    const [quiet, dq] = chance(0, starts);
    value -= weight * Math.log1p(-quiet);
    for (let j = 0; j < 3; j++) gradient[j]! += (weight * dq[j]!) / (1 - quiet);
  }
  return { value, gradient };
}
