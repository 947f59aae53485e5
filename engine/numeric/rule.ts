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

/** Points of a rule that are not its hard one, which is the last where it has one. */
export const softPoints = ({ rest }: Rule): number => rest.length - Number(rest.at(-1) === 0);

/** What a member does in a trial of some exposure e, at each rate of a rule; length N. */
export interface Chances {
  /** 1 − (1 − r)^e */
  show: Float64Array;
  /** (1 − r)^e */
  hide: Float64Array;
}

interface Kept extends Chances {
  /** by n */
  powers: Float64Array[];
}

const known = new WeakMap<Rule, Map<number, Kept>>();
/** Powers up to this degree are kept: every press asks for them again. */
const KEPT_DEGREE = 6;

/** Made once for each rule and exposure: a record has few exposures, and every start asks for them again. */
export const chancesAt = (rule: Rule, exposure: number): Chances => keptAt(rule, exposure);

/** q^k (1 − q)^(n−k), q the chance to show, k = 0 … n; (n + 1) × N, row-major by k. */
export function powersAt(rule: Rule, exposure: number, n: number): Float64Array {
  const { show, hide, powers } = keptAt(rule, exposure);
  const kept = powers[n];
  if (kept) return kept;
  const size = show.length;
  const table = new Float64Array((n + 1) * size);
  for (let x = 0; x < size; x++) {
    for (let k = 0, p = 1; k <= n; k++, p *= show[x]!) table[k * size + x] = p;
    for (let k = n, p = 1; k >= 0; k--, p *= hide[x]!) table[k * size + x] = table[k * size + x]! * p;
  }
  if (n <= KEPT_DEGREE) powers[n] = table;
  return table;
}

function keptAt(rule: Rule, exposure: number): Kept {
  let own = known.get(rule);
  if (!own) known.set(rule, (own = new Map()));
  let kept = own.get(exposure);
  if (!kept) {
    const logHide = rule.logRest.map((l) => (exposure === 0 ? 0 : exposure * l)); // where 1 − r is 0 too
    const show = logHide.map((l) => 0 - Math.expm1(l)); // never −0
    const hide = logHide.map((l) => Math.exp(l));
    own.set(exposure, (kept = { show, hide, powers: [] }));
  }
  return kept;
}
