/**
 * Minutes and cures of repairs.
 *
 * Minutes are log-normal: ln t ~ N(μ, σ²) under a normal–inverse-χ² prior around the catalog's minutes (Gelman et al.,
 * Bayesian Data Analysis, section 3.3); the catalog's figure is a mean, e^(μ + σ²/2). A cure is a Beta around the catalog's
 * efficacy, from repairs of a confirmed cause that cured and that did not.
 */
import jstat from "jstat";
import { lineAround, quantileOf } from "./density.js";
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
  const at = logMeanQuantiles(mu, sigma2, worth);
  return { value: Math.exp(mu + sigma2 / 2), low: Math.exp(at(0.05)), high: Math.exp(at(0.95)) };
}

/**
 * Quantiles of μ + σ²/2, where μ ~ N(mean, σ²/n) and σ² ~ scaled inverse χ² of n degrees of freedom: summed over ln σ² on an
 * even grid. A Gaussian around its middle (Cox's interval) holds 83 % instead of 90 % after one repair, for σ² is skewed.
 */
function logMeanQuantiles(mean: number, sigma2: number, n: number): (p: number) => number {
  const log = (v: number) => (-n / 2) * (v + Math.exp(-v) * sigma2);
  const spread = Math.sqrt(2 / n);
  const line = lineAround(log, Math.log(sigma2), spread / 4).map(([v, height]) => {
    const weight = Math.exp(height - log(Math.log(sigma2)));
    return { middle: mean + Math.exp(v) / 2, sd: Math.exp(v / 2) / Math.sqrt(n), weight };
  });
  const total = line.reduce((sum, { weight }) => sum + weight, 0);
  const below = (x: number) =>
    line.reduce((sum, { middle, sd, weight }) => sum + weight * jstat.jStat.normal.cdf(x, middle, sd), 0) /
    total;
  const low = Math.min(...line.map(({ middle, sd }) => middle - 6 * sd));
  const high = Math.max(...line.map(({ middle, sd }) => middle + 6 * sd));
  return (p) => quantileOf(below, [low, high], p);
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

/**
 * Failures a unit-year: Gamma–Poisson.
 *
 * @param failures  counted, those of unconfirmed tickets by their shares
 * @param years     unit-years in which all of them were counted
 * @param known     as many as are known: unconfirmed ones by the square of their share (fit.ts). The mean rests on `failures`,
 *   its spread on these.
 */
export function rateAfter(
  alpha: number,
  beta: number,
  failures: number,
  years: number,
  known = failures,
): Ranged & { alpha: number; beta: number } {
  const value = (alpha + failures) / (beta + years);
  const [a, b] = [alpha + known, (alpha + known) / value];
  const at = (p: number) => jstat.jStat.gamma.inv(p, a, 1 / b);
  return { value, low: at(0.05), high: at(0.95), alpha: a, beta: b };
}
