/**
 * Figures from past tickets: the mode of their posterior, by expectation–maximisation (Dempster, Laird & Rubin 1977), one
 * block of figures after the other (Meng & Rubin 1993).
 *
 * Tickets are counted by cause under the figures so far (counts.ts); with these counts the figures are fitted anew, and so on.
 * Log evidence plus log prior cannot fall from one pass to the next.
 */
import { countsOf, sharedOut, type Counts } from "./counts.js";
import { fitEvents, usualRate } from "./events.js";
import { confirmedEvidence, logPrior } from "./evidence.js";
import { catalogFigures, type Figures } from "./figures.js";
import type { Graded } from "./graded.js";
import { roomFor } from "./mixture.js";
import { fitRates } from "./rates.js";
import { sharesAfter, shareTree, type ShareTree } from "./shares.js";
import { fitSignatures, signaturePrior } from "./signatures.js";
import type { Start } from "./start.js";
import type { Tally } from "../tally/tally.js";
import type { Tickets } from "../patterns.js";

/** What a fit is made from. */
export interface Material {
  /** confirmed tickets */
  tally: Tally;
  /** those never confirmed */
  unconfirmed: readonly Tickets[];
  /** confirmed ones whose starts are not in the tally, for they were no nominal ones */
  graded?: readonly Graded[];
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

/** What the figures are held by. */
export interface Prior {
  tree: ShareTree;
  /** pseudo-counts of the signatures; T × S */
  signatures: Float64Array;
}

export function fit(start: Start, material: Material, options: FitOptions = {}): Fitted {
  const { tally, unconfirmed, graded = [] } = material;
  const { space } = start;
  const isTold = tally.told.some((n) => n > 0) || unconfirmed.some((t) => t.events !== null);
  const before = catalogFigures(start, usualRate(start, isTold));
  const tree = shareTree(before.shares, options.worth ?? start.worth, space);
  const prior: Prior = { tree, signatures: signaturePrior(before.signatures, space.stages.length) };
  const confirmed = countsOf(tally, graded, space, !unconfirmed.some((t) => t.starts > 0));

  // a stage that the catalog's signature does not name has its share of the pseudo-counts from the first pass on
  let figures: Figures = { ...before, signatures: fitSignatures(before.signatures, prior.signatures) };
  const rooms = [roomFor(space.causes.length), roomFor(space.causes.length)] as const;
  let [counts, seen] = sharedOut(space, figures, confirmed, unconfirmed, rooms);
  const passes: Pass[] = [];
  const note = () => {
    const logEvidence = confirmedEvidence(start, figures, confirmed) + seen;
    passes.push({ logEvidence, logPosterior: logEvidence + logPrior(start, figures, counts, prior) });
  };
  note();
  for (let pass = 0; pass < (options.passes ?? MOST_PASSES); pass++) {
    figures = maximised(start, figures, counts, prior);
    [counts, seen] = sharedOut(space, figures, confirmed, unconfirmed, rooms);
    note();
    const [last, now] = passes.slice(-2).map((p) => p.logPosterior);
    if (now! - last! < STEADY) break;
  }
  const [known] = sharedOut(space, figures, confirmed, unconfirmed, undefined, true);
  return { figures, counts, known, tree, passes };
}

const maximised = (start: Start, from: Figures, counts: Counts, prior: Prior): Figures => ({
  ...from,
  shares: sharesAfter(prior.tree, counts.tickets),
  signatures: fitSignatures(from.signatures, prior.signatures, counts.stops),
  ...fitRates(start, from, counts.starts),
  events: fitEvents(start, from.events, counts.told, counts.events),
});
