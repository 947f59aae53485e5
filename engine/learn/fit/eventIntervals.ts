/**
 * How well it is known how often an event came before (r), and how often it brought a cause in (q): 5 % and 95 % of their
 * marginal posteriors.
 *
 * With x = logit r, y_c = logit q_c, the causes tell nothing of each other once x is held:
 *   P(x, y | tickets) ∝ P(x | causes it has nothing to do with) · Π_c P(y_c) P(came before so many tickets of c | x, y_c)
 * so the marginal of x is a product of integrals over one y_c each, and that of y_c a mixture of what it is at each x. An x held
 * at its mode will not do: where an event is rare a high r with a low q explains a cause's tickets as well as the
 * other way round, and intervals of 90 % made so held 68 % of the truths.
 *
 * Unconfirmed tickets count by the square of their share (fit.ts), the event before as large a part of them as in the fit.
 */
import { logistic, logit } from "./betaBinomial.js";
import { Density, lineAround, quantileOf, spreadAt } from "./density.js";
import { binomial, climbChance, RATE_PRIOR, touchedBy } from "./events.js";
import type { Fitted } from "./fit.js";
import { eventGiven, type Start } from "./start.js";

export interface ChanceInterval {
  low: number;
  high: number;
  /** (mean (1 − mean) / variance) − 1: how many tickets would tell it as well */
  knowledge: number;
}

/** Tickets, and those that the event came before. */
type Came = readonly [of: number, came: number];

/** @returns of r, length E, and of q, T × E; null where no ticket tells anything */
export function eventIntervals(start: Start, fitted: Fitted) {
  const { space, brings } = start;
  const E = space.events.length;
  const ofBrings: (ChanceInterval | null)[] = brings.map(() => null);
  const ofRate = space.events.map((_, e) => {
    if (!fitted.known.told.some((n) => n > 0)) return null;
    const touched = touchedBy(start, fitted.known.told, e);
    const line = byRate(start, fitted, e, touched);
    touched.forEach((c, k) => (ofBrings[c * E + e] = mixed(line.map(({ log, given }) => [log, given[k]!]))));
    return mixed([[0, new Density(line.map(({ x, log }) => [x, log]))]]);
  });
  return { rate: ofRate, brings: ofBrings };
}

/** What is left at one x: its own density, and those of y_c there. */
interface Slice {
  x: number;
  log: number;
  given: Density[];
}

/** A quarter of a standard deviation: densities of y that are narrower than that of x still overlap. */
const STEP = 0.25;

function byRate(start: Start, fitted: Fitted, e: number, touched: readonly number[]): Slice[] {
  const r = fitted.figures.events.rate[e]!;
  const E = start.space.events.length;
  const [of, came] = plainOf(start, fitted, e);
  const counts = touched.map((c) => cameOf(fitted, [c], e, E));
  const slices = new Map<number, Slice>();
  const log = (x: number): number => {
    const given = touched.map((c, k) => bringsAt(start, c * E + e, counts[k]!, x));
    const sum = given.reduce((total, { logTotal }) => total + logTotal, binomial(came, of, logistic(x)));
    slices.set(x, { x, log: sum, given });
    return sum;
  };
  const most = touched.reduce((sum, _, k) => sum + counts[k]![0] / 4, of * r * (1 - r));
  const line = lineAround(log, logit(r), STEP * spreadNear(log, logit(r), of * r * (1 - r), most));
  return line.map(([x]) => slices.get(x)!);
}

/** Tickets of the causes that the event has nothing to do with, and those that the prior stands for. */
function plainOf(start: Start, fitted: Fitted, e: number): Came {
  const E = start.space.events.length;
  const plain = start.space.causes.map((_, c) => c).filter((c) => !(start.brings[c * E + e] ?? null));
  const [of, came] = cameOf(fitted, plain, e, E);
  return [of + RATE_PRIOR.alpha + RATE_PRIOR.beta, came + RATE_PRIOR.alpha];
}

function cameOf({ counts, known }: Fitted, causes: readonly number[], e: number, E: number): Came {
  const sum = (of: (c: number) => number) => causes.reduce((total, c) => total + of(c), 0);
  const [told, of] = [sum((c) => counts.told[c]!), sum((c) => known.told[c]!)];
  return [of, told > 0 ? (of * sum((c) => counts.events[c * E + e]!)) / told : 0];
}

/** Density of y_c with x held. */
function bringsAt(start: Start, at: number, [of, came]: Came, x: number): Density {
  const { alpha, beta, q } = start.brings[at]!;
  const places = start.chances[Math.floor(at / start.space.events.length)]!;
  const r = logistic(x);
  const ofChance = (p: number) =>
    binomial(alpha, alpha + beta, p) + binomial(came, of, eventGiven(places, p, r));
  const top = climbChance(ofChance, q);
  const log = (y: number) => ofChance(logistic(y));
  const own = (alpha + beta) * top * (1 - top);
  const given = eventGiven(places, top, r);
  const spread = spreadNear(log, logit(top), own, own + of * given * (1 - given));
  return new Density(lineAround(log, logit(top), spread / 2));
}

/** The spread of a posterior near its top. @param least, most  what its curvature can be at all */
function spreadNear(log: (x: number) => number, top: number, least: number, most: number): number {
  const spread = spreadAt(log, top, 0.5 / Math.sqrt(most));
  const widest = 1 / Math.sqrt(least);
  return spread < widest ? spread : widest; // NaN where it bends upward
}

/** Of the chance whose logit has these densities, with these logs of their weights. */
function mixed(parts: readonly (readonly [log: number, density: Density])[]): ChanceInterval {
  const top = Math.max(...parts.map(([log]) => log));
  const weights = parts.map(([log]) => Math.exp(log - top));
  const total = weights.reduce((sum, w) => sum + w, 0);
  const over = (of: (density: Density) => number) =>
    parts.reduce((sum, [, density], k) => sum + weights[k]! * of(density), 0) / total;
  const ends = parts.map(([, density]) => density.ends);
  const all = [Math.min(...ends.map(([low]) => low)), Math.max(...ends.map(([, high]) => high))] as const;
  const at = (p: number) => logistic(quantileOf((y) => over((density) => density.below(y)), all, p));
  const mean = over((density) => density.mean(logistic));
  const variance = over((density) => density.mean((y) => (logistic(y) - mean) ** 2));
  return { low: at(0.05), high: at(0.95), knowledge: (mean * (1 - mean)) / variance - 1 };
}
