/**
 * Candidates by expected information per minute of work, money counted as minutes at the labour rate.
 *
 * One start is weighed by its outcome, rows that end at their first stop by where that comes, which is at most what they
 * tell: all that a strategy of thousands of tickets can afford. A repair that needs a start to reach some stage has the
 * tries that takes in the arrangement on the bench, and the hard way where none does, as the race has it.
 */
import { numberOf } from "../../catalog/figures.js";
import { startConditions } from "../../belief/compile.js";
import { plannedStep } from "../../belief/fold.js";
import { MomentStore } from "../../belief/moments.js";
import { missChances } from "../../belief/predictive.js";
import { activity } from "../../belief/summary.js";
import { atomsOf, entropyOf } from "../../plan/atoms.js";
import { CleanRuns } from "../../plan/batches.js";
import { candidatesOf, type Candidate } from "../../plan/candidates.js";
import { StartsInformation } from "../../plan/information.js";
import { lookInformation, tiedTo, type Look } from "../../plan/looks.js";
import { costOf } from "../../plan/minutes.js";
import { LEAST_MINUTES } from "../../plan/rank.js";
import { Runs } from "../../plan/runs.js";
import { isStarts, planOf } from "../../plan/starts.js";
import { pricesOf } from "../../plan/terms.js";
import { withoutNeeds } from "../bench.js";
import type { Known } from "../strategy.js";

export interface Ranked {
  candidate: Candidate;
  n: number;
  /** bits per minute */
  rate: number;
}

/** The candidate that tells most per minute; null where none tells anything. */
export function mostTelling(known: Known): Ranked | null {
  const { state, ticket } = known;
  const { belief } = state;
  const { minute } = pricesOf(belief.model.catalog, ticket);
  const atoms = atomsOf(belief, "active");
  const once = new StartsInformation(belief, 1, "active", atoms);
  const rows = new CleanRuns(belief, "active", atoms, new Runs(belief));
  const tries = triesOf(known);
  const top: { best: Ranked | null } = { best: null };
  const candidates = candidatesOf(state, ticket.entries);
  // looks last: most are seen to be beaten without being weighed
  for (const candidate of [...candidates.filter(isStarts), ...candidates.filter(isLook)]) {
    const cost = costOf(state, withoutNeeds(candidate));
    const fixed = cost.fixed + cost.money / minute + tries(candidate);
    const rateOf = (starts: number, bits: number) =>
      bits / Math.max(LEAST_MINUTES, fixed + starts * cost.perStart);
    const consider = (n: number, rate: number) => {
      if (rate > (top.best?.rate ?? 0)) top.best = { candidate, n, rate };
    };
    if (isStarts(candidate)) {
      const plan = planOf(state, candidate);
      consider(1, rateOf(1, once.of(plan).bits));
      for (const { n, starts, bits } of rows.of(plan).stopping) consider(n, rateOf(starts, bits));
      continue;
    }
    const tied = tiedTo(belief.model, state.place.setup, candidate);
    if (rateOf(0, mostBits(known, tied)) > (top.best?.rate ?? 0))
      consider(1, rateOf(0, lookInformation(belief, atoms, candidate, tied, "active")));
  }
  return top.best;
}

/** Minutes to get a start that a repair needs, by the stage it has to reach: each stage is asked about once. */
export function triesOf({ state, prices }: Known): (candidate: Candidate) => number {
  const { belief, place } = state;
  const { model } = belief;
  const moments = new MomentStore(belief, prices.tries);
  const known = new Map<string, number>();
  const minutesTo = (stage: string): number => {
    const { exposure, key } = plannedStep(model, place, startConditions(model));
    const miss = missChances(moments, exposure, key, model.outcomeIds.indexOf(stage));
    const tries = miss.slice(0, prices.tries).reduce((sum, p) => sum + p, 0);
    return tries * numberOf(model.catalog.trialMinutes) + miss[prices.tries]! * prices.hardWay;
  };
  return (candidate) => {
    const stage = candidate.kind === "repair" ? candidate.repair?.repair.needs?.reach : undefined;
    if (stage === undefined) return 0;
    if (!known.has(stage)) known.set(stage, minutesTo(stage));
    return known.get(stage)!;
  };
}

const isLook = (candidate: Candidate): candidate is Look => !isStarts(candidate);

/**
 * A look tells no more than which of the tied causes are at work and whether it is unlisted, and that is at most the sum of
 * their entropies (Cover & Thomas 2006, 2.6 and 2.8).
 */
function mostBits({ state: { belief } }: Known, tied: Uint8Array): number {
  const active = activity(belief);
  return tied.reduce(
    (sum, t, i) => (t ? sum + entropyOfChance(active[i]!) : sum),
    entropyOfChance(belief.unlistedMass),
  );
}

const entropyOfChance = (p: number): number => (p > 0 && p < 1 ? entropyOf([p, 1 - p]) : 0);
