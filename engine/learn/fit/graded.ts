/**
 * One ticket whose starts gave the cause other chances to show than a nominal start does: the likelihood in full.
 *
 *   L(r) = Π_g q_g^k_g · (1 − r)^(e_g·m_g),   q_g = 1 − (1 − r)^e_g        k stops and m clean starts at exposure e
 *   P = h·L(1) + (1 − h)·∫ L(r) dBeta(r; a, b),   conditioned on a stop where only a fault that showed could be confirmed
 *
 * It is no polynomial in r, and the fit moves a and b, so no Gauss rule serves. With r = 1/(1 + e^(−π sinh t)) both ends of
 * the integrand die off doubly exponentially whatever a and b are (Takahasi & Mori 1974), ln r and ln(1 − r) are exact, and
 * L is worked out at the nodes once, for every a and b.
 */
import lnGamma from "@stdlib/math-base-special-gammaln";
import { digamma } from "../../numeric/digamma.js";
import { softAt, type Point } from "./betaBinomial.js";
import type { Hill } from "./climb.js";

/** Starts at one exposure; numbers may be tempered, so not whole. */
export interface Group {
  exposure: number;
  stops: number;
  clean: number;
}

export interface Graded {
  cause: number;
  groups: readonly Group[];
  /** confirmed only because it showed */
  onlyShown: boolean;
}

interface Nodes {
  logR: Float64Array;
  /** ln(1 − r) */
  logRest: Float64Array;
  /** ln of L(r) and of the step dr / (r (1 − r)) */
  logs: Float64Array;
}

/** To e^±8.5: a Beta parameter of 0.005 is down to 1e-16 there. */
const REACH = 8.5;
const known = new WeakMap<Graded, Nodes>();

/**
 * Of n starts the posterior of ln r/(1 − r) is at least 2/√n wide, so 0.64/√n in t: two to three nodes to
 * that. Half as many leave 1e-9 of a ticket of five starts, these less than 1e-11 (tests/learn/graded.test.ts).
 */
function nodesOf(ticket: Graded): Nodes {
  const made = known.get(ticket);
  if (made) return made;
  const starts = ticket.groups.reduce((n, g) => n + g.stops + g.clean, 0);
  const step = Math.min(1 / 16, 0.25 / Math.sqrt(starts));
  const length = 2 * Math.ceil(REACH / step) + 1;
  const [logR, logRest, logs] = [0, 0, 0].map(() => new Float64Array(length)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  for (let k = 0; k < length; k++) {
    const t = (k - (length - 1) / 2) * step;
    const x = Math.PI * Math.sinh(t);
    logR[k] = -Math.log1p(Math.exp(-x));
    logRest[k] = -Math.log1p(Math.exp(x));
    logs[k] = Math.log(step * Math.PI * Math.cosh(t)) + logOf(ticket.groups, logRest[k]!);
  }
  const nodes = { logR, logRest, logs };
  known.set(ticket, nodes);
  return nodes;
}

/** ln L(r). */
function logOf(groups: readonly Group[], logRest: number): number {
  let log = 0;
  for (const { exposure, stops, clean } of groups) {
    if (stops > 0) log += stops * Math.log(-Math.expm1(exposure * logRest));
    if (clean > 0) log += clean * exposure * logRest;
  }
  return log;
}

/** Σ ln P over tickets, and its gradient in the coordinates of betaBinomial.ts. */
export function gradedLikelihood(x: Point, tickets: readonly Graded[]): Hill {
  const gradient: Point = [0, 0, 0];
  let value = 0;
  for (const ticket of tickets) {
    const { soft, mean } = softOf(x, nodesOf(ticket));
    const hard = ticket.groups.some((g) => g.clean > 0 && g.exposure > 0) ? 0 : 1;
    value += added(x, hard, soft, mean, gradient);
    if (!ticket.onlyShown) continue;
    const clean = ticket.groups.reduce((sum, g) => sum + g.exposure * (g.stops + g.clean), 0);
    value += conditioned(x, clean, gradient);
  }
  return { value, gradient };
}

/** ln of ∫ L dBeta, and the means of ln r and ln(1 − r) under L dBeta less those under the Beta. */
function softOf(x: Point, { logR, logRest, logs }: Nodes): { soft: number; mean: [number, number] } {
  const { a, b } = softAt(x);
  let top = -Infinity;
  const terms = logs.map((log, k) => {
    const term = log + a * logR[k]! + b * logRest[k]!;
    if (term > top) top = term;
    return term;
  });
  let [sum, ofR, ofRest] = [0, 0, 0];
  terms.forEach((term, k) => {
    const p = Math.exp(term - top);
    if (p === 0) return; // where ln r or ln L is −∞
    sum += p;
    ofR += p * logR[k]!;
    ofRest += p * logRest[k]!;
  });
  const soft = top + Math.log(sum) - (lnGamma(a) + lnGamma(b) - lnGamma(a + b));
  const all = digamma(a + b);
  return { soft, mean: [ofR / sum - (digamma(a) - all), ofRest / sum - (digamma(b) - all)] };
}

/** Adds ∂ ln P / ∂x. @param hard  L(1)  @param soft  ln of the soft part's  @returns ln P */
function added(x: Point, hard: 0 | 1, soft: number, [byA, byB]: [number, number], gradient: Point): number {
  const { hard: h, a, b } = softAt(x);
  const chance = h * hard + (1 - h) * Math.exp(soft);
  const part = hard === 0 ? 1 : ((1 - h) * Math.exp(soft)) / chance; // a clean start rules the hard fault out
  gradient[0] += hard === 0 ? -h : (h * (1 - h) * (1 - Math.exp(soft))) / chance;
  gradient[1] += (part * ((byA - byB) * a * b)) / (a + b);
  gradient[2] += part * (byA * a + byB * b);
  return hard === 0 ? Math.log1p(-h) + soft : Math.log(chance);
}

/** − ln of the chance of a stop; all clean has the closed form (1 − h) B(a, b + E)/B(a, b), E the exposures together. */
function conditioned(x: Point, exposures: number, gradient: Point): number {
  const { hard: h, a, b } = softAt(x);
  const soft = lnGamma(b + exposures) - lnGamma(b) - (lnGamma(a + b + exposures) - lnGamma(a + b));
  const quiet = (1 - h) * Math.exp(soft);
  const bySize = digamma(a + b + exposures) - digamma(a + b);
  const [byA, byB] = [-bySize, digamma(b + exposures) - digamma(b) - bySize];
  const odds = quiet / (1 - quiet);
  gradient[0] -= odds * h;
  gradient[1] += (odds * ((byA - byB) * a * b)) / (a + b);
  gradient[2] += odds * (byA * a + byB * b);
  return -Math.log1p(-quiet);
}
