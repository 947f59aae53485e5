/**
 * The fine rule over r ~ h·δ(1) + (1 − h)·Beta(a, b): tanh–sinh in the logit of r, with a point at 1 for the hard part.
 *
 * With x = π sinh t, r = 1/(1 + e^−x), 1 − r = 1/(1 + e^x) and dr = π cosh t · r (1 − r) dt, the integrand decays doubly
 * exponentially at both ends whatever powers of r and 1 − r it carries, so the trapezoidal sum in t converges
 * geometrically (Takahasi & Mori 1974). Two things bound the step:
 *   - the nearest singularity: the leak puts one at r ≈ −ε, which lies 0.4 off the real axis of t for ε = 10⁻³;
 *     the error exp(−2π · 0.4 / step) is 10⁻¹⁴ at a step of 1/13;
 *   - the sharpest likelihood: n exposed trials leave a peak of width 2/√n in the logit, and a trapezoidal sum over a
 *     Gaussian of width σ errs by 2 exp(−2π² σ²/step²), 10⁻¹⁴ at a step of 0.78 σ.
 * Tests halve the step and see nothing move by 1e-12.
 */
import type { Rule } from "./rule.js";

const STEP = 1 / 14;
/**
 * Terms below e^−45 of the largest cannot reach the 16th digit of a sum of a few hundred. The record may move the peak to
 * where the prior is small: n trials put it at 1/n from an end at the nearest, where the prior is n^−(a + b) of its top.
 */
const NEGLIGIBLE = 45;

/**
 * Points and weights for E[f(r)], r ~ h·δ(1) + (1 − h)·Beta(a, b).
 *
 * @param hard    h in [0, 1]
 * @param a,b     Beta shapes, > 0
 * @param trials  exposure that the record will lay on this rate, ≥ 0: sets how sharp a peak must be resolved
 * @param finer   divides the step; 2 halves it (for tests)
 */
export function fineRule(hard: number, a: number, b: number, trials: number, finer = 1): Rule {
  const step = Math.min(STEP, (0.78 * 2) / Math.PI / Math.sqrt(a + b + trials)) / finer;
  const logs = (t: number) => {
    const x = Math.PI * Math.sinh(t);
    const logRate = x < 0 ? x - Math.log1p(Math.exp(x)) : -Math.log1p(Math.exp(-x));
    const logRest = x < 0 ? -Math.log1p(Math.exp(x)) : -x - Math.log1p(Math.exp(-x));
    return { logRate, logRest, logWeight: a * logRate + b * logRest + Math.log(Math.cosh(t)) };
  };
  // the mode of the weight in the logit is ln(a/b); walk outwards from there
  const centre = Math.asinh(Math.log(a / b) / Math.PI);
  const top = logs(centre).logWeight;
  const negligible = NEGLIGIBLE + (a + b) * Math.log1p(trials);
  const points: { logRate: number; logRest: number; logWeight: number }[] = [];
  const walk = (from: number, direction: 1 | -1) => {
    for (let k = from; ; k += direction) {
      const p = logs(centre + k * step);
      if (!(p.logWeight - top > -negligible)) return;
      points.push(p);
    }
  };
  walk(-1, -1);
  points.reverse();
  walk(0, 1);
  return normalised(points, hard, top);
}

function normalised(
  points: { logRate: number; logRest: number; logWeight: number }[],
  hard: number,
  top: number,
): Rule {
  const soft = hard < 1 ? points.length : 0;
  const size = soft + (hard > 0 ? 1 : 0);
  const rule: Rule = {
    rate: new Float64Array(size),
    rest: new Float64Array(size),
    logRest: new Float64Array(size),
    weight: new Float64Array(size),
  };
  let sum = 0;
  for (const p of points) sum += Math.exp(p.logWeight - top);
  for (let k = 0; k < soft; k++) {
    const p = points[k]!;
    rule.rate[k] = Math.exp(p.logRate);
    rule.rest[k] = Math.exp(p.logRest);
    rule.logRest[k] = p.logRest;
    rule.weight[k] = ((1 - hard) * Math.exp(p.logWeight - top)) / sum;
  }
  if (hard > 0) {
    rule.rate[soft] = 1;
    rule.rest[soft] = 0;
    rule.logRest[soft] = -Infinity;
    rule.weight[soft] = hard;
  }
  return rule;
}
