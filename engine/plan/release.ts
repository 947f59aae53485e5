/**
 * Is it fixed? The chance of a comeback, and how many further clean starts would bring it under the limit.
 *
 * A comeback is at least one failed start among all that the owner makes in the days that count, with one and the same
 * rate of each cause through all of them, integrated out. The leak is no comeback and new faults are not counted; with
 * nothing at work that could show there the machine never comes back; `unlisted` has its own prediction. After n clean
 * starts, which weigh as they would in the record:
 *
 *   P(comeback | n clean) = 1 − (hⁿ B(n) + u B_u(n)) / (hⁿ A(n) + u A_u(n)),
 *
 * A(n) the chance of n quiet starts under what is listed, B(n) of the same and none but quiet starts at home, A_u and B_u
 * those under `unlisted` of mass u, h the chance that a start of a healthy machine is clean.
 * Good to 1e-9 against dense integration where n clean starts may well come. Where they are themselves next to impossible
 * they are known to 1e-5 only, as a chance: 500 after a record of ten stops in six stages, of a chance of 1e-5, have been
 * off by half of it, and the comeback after them with it.
 * Source: project model, section 10; for one cause of known rate Breuer 1973 and Kamal & Page 1974 (from memory).
 */
import { causesInPlay, type State } from "../belief/fold.js";
import { nothingAtWork } from "../belief/summary.js";
import type { Entry, EntryOf } from "../ticket/schema.js";
import { changeBetween, OWN, viewOf, type Setup } from "../ticket/setup.js";
import type { ProvingView, ReleaseView } from "../weighing.js";
import { plainChange, tellingConditions, type Change } from "./candidates.js";
import { homeSetup, homeUse, type HomeUse, type ReleaseTerms } from "./home.js";
import { costOf, wayBack } from "./minutes.js";
import { Axes, QuietStarts } from "./quiet.js";
import { planOf, type StartsCandidate } from "./starts.js";
import { unlistedQuiet } from "./unlistedQuiet.js";
import { titleOf } from "./words.js";

/** More clean starts than this nobody makes. */
export const MOST_STARTS = 500;
/** Where the curve is drawn: every start at first, then in steps of about a tenth. */
export const CURVE: readonly number[] = [
  ...[0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 65, 80, 100],
  ...[130, 160, 200, 250, 300, 400, MOST_STARTS],
];
/** Where the chance is tried elsewhere; a start at least, since the way there cures nothing for sure. */
const COARSE: readonly number[] = [1, 2, 4, 8, 15, 30, 60, 100, 170, 300];
/** A limit of one in twenty is met by a chance of one in twenty that was rounded up. */
const SLACK = 1e-12;

/** @param entries  the record, which says where the fault has shown */
export function release(state: State, entries: readonly Entry[], terms: ReleaseTerms): ReleaseView {
  const { belief, place } = state;
  const { model } = belief;
  const setup = homeSetup(model, place, entries);
  const comebacks = new Comebacks(state, homeUse(model, place, setup, terms));
  const here = comebacks.after(startsIn(null, {}));
  return {
    nothingAtWork: nothingAtWork(belief, causesInPlay(state)),
    comeback: here(0),
    ...terms,
    setup: viewOf(setup, model),
    here: provingView(state, startsIn(null, {}), here, firstWithin(here, terms.limit, CURVE)),
    best: bestElsewhere(state, entries, setup, comebacks, terms.limit, here),
  };
}

/** P(comeback | n clean starts made there), by n. */
export type Comeback = (n: number) => number;

export class Comebacks {
  private readonly axes: Axes;
  private readonly unlisted: ReturnType<typeof unlistedQuiet>;

  constructor(
    private readonly state: State,
    private readonly home: HomeUse,
  ) {
    this.axes = new Axes(state.belief, home.exposure);
    this.unlisted = unlistedQuiet(state.belief.unlisted);
  }

  after(candidate: StartsCandidate): Comeback {
    const { belief } = this.state;
    const there = planOf(this.state, candidate);
    const listed = new QuietStarts(belief, this.axes, there);
    const healthy = belief.model.stages.healthyLater.at(-1)!;
    const known = new Map<number, number>();
    const chance = (n: number) => {
      const { here, both } = listed.of(n);
      const leak = healthy ** n;
      const clean = new Map([[there.key, n]]);
      const atHome = new Map(this.home.starts);
      atHome.set(there.key, n + (atHome.get(there.key) ?? 0));
      const all = leak * here + belief.unlistedMass * this.unlisted(clean);
      const quiet = leak * both + belief.unlistedMass * this.unlisted(atHome);
      return all > 0 ? Math.max(0, 1 - quiet / all) : 0;
    };
    return (n) => {
      if (!known.has(n)) known.set(n, chance(n));
      return known.get(n)!;
    };
  }
}

const startsIn = (change: Change | null, conditions: Record<string, string>): StartsCandidate => ({
  kind: "starts",
  change,
  repair: null,
  conditions,
});

function provingView(
  state: State,
  candidate: StartsCandidate,
  comeback: Comeback,
  needed: number | null,
): ProvingView {
  const { change, conditions } = candidate;
  return {
    title: titleOf(state.belief.model, state.place.setup, candidate, Math.max(1, needed ?? 1)),
    change: change && plainChange(change),
    conditions,
    needed,
    minutes: needed === null ? null : minutesOf(state, candidate, needed),
    curve: CURVE.map((n) => ({ n, comeback: comeback(n) })),
  };
}

/** There, so many starts, and back again. */
function minutesOf(state: State, candidate: StartsCandidate, n: number): number {
  if (n === 0) return 0;
  const { fixed, perStart } = costOf(state, candidate);
  return fixed + n * perStart + wayBack(state, candidate.change);
}

/**
 * The smallest n after which the chance is within the limit: at the first of the points, or by halving between two of
 * them, which takes the chance as falling from one to the next.
 */
function firstWithin(comeback: Comeback, limit: number, points: readonly number[]): number | null {
  const isEnough = (n: number) => comeback(n) <= limit + SLACK;
  const at = points.findIndex(isEnough);
  return at < 0 ? null : halving(points[at - 1] ?? points[0]! - 1, points[at]!, isEnough);
}

/** The smallest n above `low` that is enough, where `high` is and those above an n that is are. */
function halving(low: number, high: number, isEnough: (n: number) => boolean): number {
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (isEnough(middle)) high = middle;
    else low = middle;
  }
  return high;
}

// elsewhere

/** Where fewer starts are enough than as it is: the conditions in which it has stopped, and the known setups. */
function bestElsewhere(
  state: State,
  entries: readonly Entry[],
  home: Setup,
  comebacks: Comebacks,
  limit: number,
  here: Comeback,
): ProvingView | null {
  const asItIs = firstWithin(here, limit, CURVE);
  if (asItIs === 0) return null;
  const found = elsewhere(state, entries, home).reduce<Proving | null>((best, candidate) => {
    const most = best?.needed ?? (asItIs === null ? MOST_STARTS : asItIs - 1);
    if (most < 1) return best;
    const comeback = comebacks.after(candidate);
    if (comeback(most) > limit + SLACK) return best;
    const needed = firstWithin(comeback, limit, [...COARSE.filter((n) => n < most), most]);
    if (needed === null) return best;
    const minutes = minutesOf(state, candidate, needed);
    if (best && needed === best.needed && minutes >= best.minutes) return best;
    return { candidate, comeback, needed, minutes };
  }, null);
  return found && provingView(state, found.candidate, found.comeback, found.needed);
}

interface Proving {
  candidate: StartsCandidate;
  comeback: Comeback;
  needed: number;
  minutes: number;
}

function elsewhere(state: State, entries: readonly Entry[], home: Setup): StartsCandidate[] {
  const { place, belief } = state;
  const telling = tellingConditions(belief.model, entries as EntryOf<"starts">[]);
  const changes = [home, ...place.tried.filter((setup) => setup.in === OWN)].flatMap((setup) => {
    const change = changeBetween(place.setup, setup);
    return change ? [change] : [];
  });
  const distinct = new Map(changes.map((change) => [JSON.stringify(change), change]));
  return [null, ...distinct.values()].flatMap((change) =>
    telling
      .filter((conditions) => change !== null || Object.keys(conditions).length > 0)
      .map((conditions) => startsIn(change, conditions)),
  );
}
