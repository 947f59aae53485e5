/**
 * Minutes and cures of repairs.
 *
 * Minutes are log-normal: ln t ~ N(μ, σ²) under a normal–inverse-χ² prior around the catalog's minutes (Gelman et al.,
 * Bayesian Data Analysis, section 3.3); the catalog's figure is a mean, e^(μ + σ²/2). A cure is a Beta around the catalog's
 * efficacy, from repairs of a confirmed cause that cured and that did not.
 */
import jstat from "jstat";
import type { Ranged } from "../tuning.js";

/** How many repairs the catalog's minutes count as, and their spread (judgement): half to twice. */
export const MINUTES_WORTH = 4;
export const LOG_SD = 0.4;
/** How many repairs the catalog's efficacy counts as (judgement). */
export const CURE_WORTH = 10;

/**
 * Mean minutes after n repairs.
 * @param from  the catalog's, > 0  @param sums  n, Σ ln t, Σ ln² t
 */
export function minutesAfter(from: number, [n, total, squares]: readonly [number, number, number]): Ranged {
  const [mean, variance] = n > 0 ? [total / n, squares / n - (total / n) ** 2] : [0, 0];
  const start = Math.log(from) - LOG_SD ** 2 / 2;
  const worth = MINUTES_WORTH + n;
  const mu = (MINUTES_WORTH * start + n * mean) / worth;
  const off = (MINUTES_WORTH * n * (mean - start) ** 2) / worth;
  const sigma2 = (MINUTES_WORTH * LOG_SD ** 2 + n * Math.max(0, variance) + (n > 0 ? off : 0)) / worth;
  // Cox's interval of a log-normal mean: Var(μ) + Var(σ²)/4
  const sd = Math.sqrt(sigma2 / worth + sigma2 ** 2 / (2 * worth));
  const log = mu + sigma2 / 2;
  const at = (z: number) => Math.exp(log + z * sd);
  return { value: at(0), low: at(-1.6448536269514722), high: at(1.6448536269514722) };
}

export interface BetaFigure extends Ranged {
  alpha: number;
  beta: number;
}

/** Efficacy after some cures. @param from  the catalog's, in [0, 1] */
export const cureAfter = (from: number, cured: number, not: number): BetaFigure =>
  betaFigure(from * CURE_WORTH + cured, (1 - from) * CURE_WORTH + not);

/** Mean, 5 % and 95 % point of a Beta (jStat, good to 1e-7: ample for a picture). */
export function betaFigure(alpha: number, beta: number): BetaFigure {
  const value = alpha / (alpha + beta);
  const at = (p: number) => (alpha <= 0 || beta <= 0 ? value : jstat.jStat.beta.inv(p, alpha, beta));
  return { value, low: at(0.05), high: at(0.95), alpha, beta };
}

/** The Beta with a mean and a squared coefficient of variation. */
export function betaFrom(mean: number, cv2: number): BetaFigure {
  const knowledge = Math.max(1e-6, (1 - mean) / (mean * cv2) - 1);
  return betaFigure(mean * knowledge, (1 - mean) * knowledge);
}

/** Failures a unit-year: Gamma–Poisson. @param years  unit-years in which all `failures` were counted */
export function rateAfter(
  alpha: number,
  beta: number,
  failures: number,
  years: number,
): Ranged & { alpha: number; beta: number } {
  const [a, b] = [alpha + failures, beta + years];
  const at = (p: number) => jstat.jStat.gamma.inv(p, a, 1 / b);
  return { value: a / b, low: at(0.05), high: at(0.95), alpha: a, beta: b };
}
