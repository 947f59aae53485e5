/**
 * How often an event came before, and how often it brought a cause in, from how many tickets of each cause it came before.
 *
 * P(e | c) = r_e for a cause the event has nothing to do with, and more for one that it brings in (start.ts): the causes it
 * has nothing to do with tell r_e, the others q. Modes in the logit, found by golden section along one coordinate after the
 * other; no step goes down.
 */
import { logistic } from "./betaBinomial.js";
import { eventGiven, type Start } from "./start.js";

export interface EventFigures {
  /** r_e; length E */
  rate: Float64Array;
  /** q; T × E, NaN where the event has nothing to do with the cause */
  brings: Float64Array;
  /** P(e | c); C × E */
  given: Float64Array;
}

/** Of r_e: one machine in ten, as firmly as ten tickets say it (judgement). */
export const RATE_PRIOR = { alpha: 1, beta: 9 };

/** r_e before any ticket; 0 where no ticket tells what had happened before. */
export const usualRate = ({ space }: Start, isTold: boolean): Float64Array =>
  new Float64Array(space.events.length).fill(
    isTold ? RATE_PRIOR.alpha / (RATE_PRIOR.alpha + RATE_PRIOR.beta) : 0,
  );

/** What the catalog says of events, where each comes before a share r_e of all machines. */
export function eventStart(start: Start, rate: Float64Array): EventFigures {
  const brings = Float64Array.from(start.brings, (b) => b?.q ?? NaN);
  return { rate, brings, given: givenOf(start, rate, brings) };
}

function givenOf({ space, chances }: Start, rate: Float64Array, brings: Float64Array): Float64Array {
  const [E, T] = [space.events.length, chances.length];
  const given = new Float64Array(space.causes.length * E);
  for (let c = 0; c < space.causes.length; c++)
    for (let e = 0; e < E; e++) {
      const q = c < T ? brings[c * E + e]! : NaN;
      given[c * E + e] = q > 0 && rate[e]! > 0 ? eventGiven(chances[c]!, q, rate[e]!) : rate[e]!;
    }
  return given;
}

/** Causes that an event brings in, with tickets that tell what had happened before. */
export function touchedBy({ space, brings }: Start, told: ArrayLike<number>, e: number): number[] {
  const causes = space.catalog.causes.map((_, c) => c);
  return causes.filter((c) => brings[c * space.events.length + e] !== null && told[c]! > 0);
}

/** @param told  tickets by cause of which the history is known  @param came  C × E, those that the event came before */
export function fitEvents(
  start: Start,
  from: EventFigures,
  told: ArrayLike<number>,
  came: ArrayLike<number>,
): EventFigures {
  const { space, chances } = start;
  const [E, C, T] = [space.events.length, space.causes.length, chances.length];
  if (!Array.from({ length: C }, (_, c) => told[c]!).some((n) => n > 0)) return from;
  const rate = Float64Array.from(from.rate);
  const brings = Float64Array.from(from.brings);
  for (let e = 0; e < E; e++) {
    const touched = touchedBy(start, told, e);
    let [plain, plainCame] = [RATE_PRIOR.alpha + RATE_PRIOR.beta, RATE_PRIOR.alpha];
    for (let c = 0; c < C; c++)
      if (!(c < T && brings[c * E + e]! > 0))
        [plain, plainCame] = [plain + told[c]!, plainCame + came[c * E + e]!];
    const ofCause = (c: number, q: number, r: number) =>
      binomial(came[c * E + e]!, told[c]!, eventGiven(chances[c]!, q, r));
    const ofRate = (r: number) =>
      binomial(plainCame, plain, r) + touched.reduce((sum, c) => sum + ofCause(c, brings[c * E + e]!, r), 0);
    rate[e] = climbChance(ofRate, rate[e]!);
    for (const c of touched) {
      const { alpha, beta } = start.brings[c * E + e]!;
      brings[c * E + e] = climbChance(
        (q) => binomial(alpha, alpha + beta, q) + ofCause(c, q, rate[e]!),
        brings[c * E + e]!,
      );
    }
  }
  return { rate, brings, given: givenOf(start, rate, brings) };
}

/** ln of the priors of r and q in the logit basis, without constants. */
export function logEventPrior(start: Start, { rate, brings }: EventFigures): number {
  let log = 0;
  for (const r of rate) if (r > 0) log += binomial(RATE_PRIOR.alpha, RATE_PRIOR.alpha + RATE_PRIOR.beta, r);
  start.brings.forEach((b, at) => {
    if (b) log += binomial(b.alpha, b.alpha + b.beta, brings[at]!);
  });
  return log;
}

/** ln of k of n at chance p, without the number of ways. */
export const binomial = (k: number, n: number, p: number) =>
  (k === 0 ? 0 : k * Math.log(p)) + (n === k ? 0 : (n - k) * Math.log1p(-p));

const GOLD = (Math.sqrt(5) - 1) / 2;
const [LOWEST, HIGHEST] = [-14, 4];

/** The best chance in the logit, by golden section (Kiefer 1953), or where it stands if that is better. */
export function climbChance(value: (p: number) => number, from: number): number {
  const at = (x: number) => value(logistic(x));
  let [low, high] = [LOWEST, HIGHEST];
  while (high - low > 1e-7) {
    const width = GOLD * (high - low);
    if (at(high - width) > at(low + width)) high = low + width;
    else low = high - width;
  }
  const best = logistic((low + high) / 2);
  return value(best) >= value(from) ? best : from;
}
