/**
 * A quadrature rule over the manifestation rate r of one cause: points with weights that add up to 1.
 *
 * The complement 1 − r is kept apart, because it cannot be recovered from r near 1.
 */
export interface Rule {
  /** r, in [0, 1]; length N */
  rate: Float64Array;
  /** 1 − r, exact near r = 1; length N */
  rest: Float64Array;
  /** ln(1 − r), −∞ at the hard point; length N */
  logRest: Float64Array;
  /** weights, ≥ 0, sum 1; length N */
  weight: Float64Array;
}

/** A rule of one point. */
export function pointRule(rate: number): Rule {
  const rest = 1 - rate;
  return {
    rate: Float64Array.of(rate),
    rest: Float64Array.of(rest),
    logRest: Float64Array.of(Math.log1p(-rate)),
    weight: Float64Array.of(1),
  };
}
