/**
 * Figures from past tickets: the mode of their posterior, by expectation–maximisation (Dempster, Laird & Rubin 1977), one
 * block of figures after the other (Meng & Rubin 1993).
 *
 * Confirmed tickets count whole. A ticket whose cause was never confirmed counts for each cause by its posterior share
 * under the figures so far; with these counts the figures are fitted anew, and so on. Log evidence plus log prior cannot
 * fall from one pass to the next.
 */
import { pointOf, softAt, logLikelihood, type Count, type Point } from "./betaBinomial.js";
import { climb } from "./climb.js";
import { fitEvents, logEventPrior, usualRate } from "./events.js";
import { catalogFigures, logRatePrior, OWN_SD, pullsOf, type Figures } from "./figures.js";
import { countKey, countOf, Mixture, normalised, roomFor, type Room } from "./mixture.js";
import { logSharePrior, sharesAfter, shareTree, type ShareTree } from "./shares.js";
import type { Start } from "./start.js";
import type { Tally } from "../tally/tally.js";
import type { Tickets } from "../patterns.js";

/** What a fit is made from. */
export interface Material {
  /** confirmed tickets */
  tally: Tally;
  /** those never confirmed */
  unconfirmed: readonly Tickets[];
}

export interface Pass {
  /** ln P(tickets | figures) */
  logEvidence: number;
  /** with the log prior of the figures: never falls */
  logPosterior: number;
}

export interface Fitted {
  figures: Figures;
  /** counts by cause that the figures rest on, unconfirmed tickets by their shares */
  counts: Counts;
  /**
   * The same with every unconfirmed ticket counted by the square of its share: what is known of it once it is not known whose
   * it is. Intervals rest on these (Louis 1982: complete less missing information, here γ − γ(1 − γ) of a ticket of share γ).
   */
  known: Counts;
  tree: ShareTree;
  passes: Pass[];
}

export interface FitOptions {
  /** tickets that the catalog counts as; default: the failures' worth of knowledge in its rates */
  worth?: number;
  passes?: number;
}

const MOST_PASSES = 60;
/** A pass that gains less than this, in log posterior, moves no figure by a hundredth of its own uncertainty. */
const STEADY = 0.002;
/** How many stops' worth the catalog's signatures are held by (judgement). */
export const SIGNATURE_WORTH = 10;
/** Share of a signature's pseudo-counts that every stage gets: a stage it does not name may still be learned. */
const ANY_STAGE = 0.02;
/** Newton steps for a rate in one pass: the passes go on anyway. */
const STEPS = 4;

/** Tickets by cause, whole or expected. */
export interface Counts {
  tickets: Float64Array;
  stops: Float64Array;
  told: Float64Array;
  events: Float64Array;
  /** by template */
  starts: Count[][];
}

export function fit(start: Start, { tally, unconfirmed }: Material, options: FitOptions = {}): Fitted {
  const { space } = start;
  const isTold = tally.told.some((n) => n > 0) || unconfirmed.some((t) => t.events !== null);
  const before = catalogFigures(start, usualRate(start, isTold));
  const tree = shareTree(before.shares, options.worth ?? start.worth, space);
  const pseudo = signaturePrior(before.signatures, space.stages.length);
  const confirmed = countsOf(tally, start, !unconfirmed.some((t) => t.starts > 0));

  // a stage that the catalog's signature does not name has its share of the pseudo-counts from the first pass on
  let figures: Figures = {
    ...before,
    signatures: before.signatures.map((p, at) => (at < pseudo.length ? pseudo[at]! / SIGNATURE_WORTH : p)),
  };
  const rooms = [roomFor(space.causes.length), roomFor(space.causes.length)] as const;
  let [counts, seen] = expected(start, figures, confirmed, unconfirmed, rooms);
  const passes: Pass[] = [];
  const note = () => {
    const logEvidence = confirmedEvidence(start, figures, confirmed) + seen;
    passes.push({ logEvidence, logPosterior: logEvidence + logPrior(start, figures, counts, tree, pseudo) });
  };
  note();
  for (let pass = 0; pass < (options.passes ?? MOST_PASSES); pass++) {
    figures = maximised(start, figures, counts, tree, pseudo);
    [counts, seen] = expected(start, figures, confirmed, unconfirmed, rooms);
    note();
    const [last, now] = passes.slice(-2).map((p) => p.logPosterior);
    if (now! - last! < STEADY) break;
  }
  const [known] = expected(start, figures, confirmed, unconfirmed, rooms, true);
  return { figures, counts, known, tree, passes };
}

/** Of the causes; the leak's signature and the row of `unlisted` are not fitted. */
function signaturePrior(signatures: Float64Array, S: number): Float64Array {
  return signatures
    .subarray(0, signatures.length - 2 * S)
    .map((p) => SIGNATURE_WORTH * ((1 - ANY_STAGE) * p + ANY_STAGE / S));
}

/**
 * @param conditioned  whether tickets that were confirmed only because they showed are conditioned on that. They must be where
 *   their quiet sisters are missing. Where the table holds those too, unconfirmed, the likelihood of both together is the
 *   right one, and conditioning would count the quiet ones twice.
 */
function countsOf(tally: Tally, { space }: Start, conditioned: boolean): Counts {
  const starts: Count[][] = space.causes.map(() => []);
  for (const [key, weight] of tally.starts) {
    const [cause, stops, n, shown] = key.split(" ").map(Number) as [number, number, number, number];
    starts[cause]!.push({ stops, starts: n, onlyShown: conditioned && shown === 1, weight });
  }
  const { tickets, stops, told, events } = tally;
  return { tickets, stops, told, events, starts };
}

/** Counts with the unconfirmed tickets shared out, and the log evidence of those. */
function expected(
  { space }: Start,
  figures: Figures,
  confirmed: Counts,
  unconfirmed: readonly Tickets[],
  rooms: readonly [Room, Room],
  squared = false,
): [Counts, number] {
  if (unconfirmed.length === 0) return [confirmed, 0];
  const [C, S, E] = [space.causes.length, space.stages.length, space.events.length];
  const counts: Counts = {
    tickets: Float64Array.from(confirmed.tickets),
    stops: Float64Array.from(confirmed.stops),
    told: Float64Array.from(confirmed.told),
    events: Float64Array.from(confirmed.events),
    starts: [],
  };
  // shares are added up by what tickets have in common, and handed on to stages and events at the end
  const { counts: byCount, stages: byStages, events: byEvents } = rooms[0];
  for (const vectors of Object.values(rooms[0])) vectors.clear();
  const mixture = new Mixture(space, figures, rooms[1]);
  const share = new Float64Array(C);
  let log = 0;
  for (const ticket of unconfirmed) {
    const { weight, at, events, stops, starts } = ticket;
    mixture.joint(ticket, share);
    log += weight * normalised(share);
    if (squared) for (let c = 0; c < C; c++) share[c] = share[c]! ** 2;
    addShares(counts.tickets, share, weight);
    if (starts > 0) addShares(byCount.of(countKey(stops, starts)), share, weight);
    if (at.length > 0) addShares(byStages.of(at), share, weight);
    if (events) addShares(byEvents.of(events), share, weight);
  }
  for (const [at, own] of byStages.all)
    for (const [s, n] of at) for (let c = 0; c < C; c++) counts.stops[c * S + s]! += n * own[c]!;
  for (const [events, own] of byEvents.all) {
    addShares(counts.told, own, 1);
    for (const e of events) for (let c = 0; c < C; c++) counts.events[c * E + e]! += own[c]!;
  }
  const keys = [...byCount.all];
  counts.starts = confirmed.starts.map((list, c) => [
    ...list,
    ...keys.flatMap(([key, own]): Count[] =>
      own[c]! > 1e-9 ? [{ ...countOf(key), onlyShown: false, weight: own[c]! }] : [],
    ),
  ]);
  return [counts, log];
}

function addShares(into: Float64Array, share: Float64Array, weight: number): void {
  for (let c = 0; c < share.length; c++) into[c] = into[c]! + weight * share[c]!;
}

function maximised(
  start: Start,
  from: Figures,
  counts: Counts,
  tree: ShareTree,
  pseudo: Float64Array,
): Figures {
  const { space } = start;
  const S = space.stages.length;
  const signatures = Float64Array.from(from.signatures);
  const rates = from.rates.slice();
  const moved = movedBy(counts, start);
  space.catalog.causes.forEach((cause, c) => {
    let total = 0;
    for (let s = 0; s < S; s++) total += pseudo[c * S + s]! + counts.stops[c * S + s]!;
    for (let s = 0; s < S; s++)
      signatures[c * S + s] = (pseudo[c * S + s]! + counts.stops[c * S + s]!) / total;
    const rate = rates[c]!;
    if (!moved[c] || "fixed" in rate || "fixed" in cause.intermittency) return;
    const centre = centreOf(pointOf(cause.intermittency), from.pulls.get(cause.group));
    rates[c] = softAt(climb(rateHill(counts.starts[c]!, centre), pointOf(rate, 1e-12), FREE, STEPS).at);
  });
  return {
    ...from,
    shares: sharesAfter(tree, counts.tickets),
    signatures,
    rates,
    pulls: pullsOf(start, rates, moved),
    events: fitEvents(start, from.events, counts.told, counts.events),
  };
}

export const FREE = [false, false, false] as const;

export const movedBy = ({ starts }: Counts, { space }: Start): boolean[] =>
  space.catalog.causes.map((_, c) => isCounted(starts[c]!));

const isCounted = (list: readonly Count[]) =>
  list.some((c) => c.weight > 1e-6 && !(c.onlyShown && c.stops === 0));

export const centreOf = (from: Point, pull: Point = [0, 0, 0]): Point =>
  from.map((x, j) => x + pull[j]!) as Point;

/** Log likelihood of counts with the prior around a centre. */
export const rateHill =
  (counts: readonly Count[], centre: Point, sd = OWN_SD) =>
  (x: Point) => {
    const { value, gradient } = logLikelihood(x, counts);
    let prior = 0;
    const slope = gradient.map((g, j) => {
      const off = (x[j]! - centre[j]!) / sd;
      prior -= off ** 2 / 2;
      return g - off / sd;
    }) as Point;
    return { value: value + prior, gradient: slope };
  };

function logPrior(
  start: Start,
  figures: Figures,
  counts: Counts,
  tree: ShareTree,
  pseudo: Float64Array,
): number {
  let log = logSharePrior(tree, figures.shares) + logRatePrior(start, figures, movedBy(counts, start));
  if (figures.events.rate.some((r) => r > 0)) log += logEventPrior(start, figures.events);
  for (let at = 0; at < pseudo.length; at++) log += pseudo[at]! * Math.log(figures.signatures[at]!);
  return log;
}

/** ln P of the confirmed tickets, those conditioned that could be confirmed only because they showed. */
function confirmedEvidence({ space }: Start, figures: Figures, counts: Counts): number {
  const { shares, rates, signatures, events, leak } = figures;
  const times = (n: number, p: number) => (n > 0 ? n * Math.log(Math.max(p, 1e-300)) : 0);
  let log = 0;
  counts.tickets.forEach((n, c) => (log += times(n, shares[c]!)));
  counts.starts.forEach((list, c) => {
    const rate = rates[c];
    if (rate && !("fixed" in rate)) log += logLikelihood(pointOf(rate, 0), list).value;
    else if (c === space.none)
      for (const { stops, starts, weight } of list)
        log += times(weight * stops, leak) + weight * (starts - stops) * Math.log1p(-leak);
  });
  counts.stops.forEach((n, at) => {
    if (at < space.unlisted * space.stages.length) log += times(n, signatures[at]!);
  });
  const E = space.events.length;
  counts.events.forEach((n, at) => {
    const p = events.given[at]!;
    log += times(n, p) + times(counts.told[Math.floor(at / E)]! - n, 1 - p);
  });
  return log;
}
