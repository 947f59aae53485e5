/**
 * What could finish the job from here: every repair, and every part put in for good in place of another.
 */
import { causesInPlay, type State } from "../belief/fold.js";
import type { Model } from "../belief/model.js";
import { activity } from "../belief/summary.js";
import { changeBetween, changed, type Setup } from "../ticket/setup.js";
import { repairsOn, substitutions, type Change } from "./candidates.js";
import { costOf } from "./minutes.js";
import { planOf, type StartsCandidate } from "./starts.js";
import { partPrice, type Prices } from "./terms.js";

export interface NamedFix {
  /** its starts are those that prove it */
  candidate: StartsCandidate;
  /** money before the first of them, and for each */
  cost: number;
  perStart: number;
  /** chance that it rids the machine of each cause; length C */
  clears: Float64Array;
}

/**
 * @param ready       the arrangement that the machine is proved in, from which the fixes are seen
 * @param conditions  of the starts that prove a fix
 */
export function fixesOf(
  state: State,
  prices: Prices,
  ready: Setup,
  conditions: Record<string, string>,
): NamedFix[] {
  const { model } = state.belief;
  const there = { ...state, place: { ...state.place, setup: ready } };
  const inPlay = causesInPlay(there);
  const active = activity(state.belief);
  const way = changeBetween(state.place.setup, ready);
  return fixesSeen(model, ready, conditions).map((seen) => {
    const { fixed, perStart, money } = costOf(there, seen);
    return {
      candidate: { ...seen, change: together(way, seen.change) },
      cost: fixed * prices.minute + money + stayingPrice(there, seen.change),
      perStart: perStart * prices.minute,
      clears: clearsOf(there, seen, inPlay, active),
    };
  });
}

/** The fixes as they are seen from the arrangement that the machine is proved in. */
export function fixesSeen(model: Model, ready: Setup, conditions: Record<string, string>): StartsCandidate[] {
  const repairs = repairsOn(model, ready).map((repair): StartsCandidate => ({
    kind: "repair",
    change: null,
    repair,
    conditions,
  }));
  const parts = substitutions(model, ready)
    .filter((change) => isBelievedGood(model, change))
    .map((change): StartsCandidate => ({ kind: "starts", change, repair: null, conditions }));
  return [...repairs, ...parts];
}

const together = (first: Change | null, second: Change | null): Change | null =>
  first && second
    ? {
        fit: { ...first.fit, ...second.fit },
        settings: { ...first.settings, ...second.settings },
        ...(first.in !== undefined && { in: first.in }),
      }
    : (second ?? first);

/** What came with the machine is on the shelf because it is suspected, or was; it does not go back in as a repair. */
const isBelievedGood = ({ ticket }: Model, { fit = {} }: Change): boolean =>
  Object.values(fit).every((id) => id === null || ticket.machine.parts.some((p) => p.id === id && p.spare));

/** A spare from the shelf costs its price too, if it is to stay in. */
function stayingPrice({ belief, place }: State, change: Change | null): number {
  const { catalog, ticket } = belief.model;
  const before = new Set(Object.values(place.setup.fit));
  return Object.values(change?.fit ?? {}).reduce((sum, id) => {
    const part = ticket.machine.parts.find((p) => p.id === id);
    if (!part || before.has(part.id) || part.spare !== true || part.atHand === false) return sum;
    return sum + (partPrice(catalog, part) ?? 0);
  }, 0);
}

/**
 * Causes of a part that is taken out are gone with it; contacts that are touched and causes that are repaired leave with
 * their own chance. What the new part brings along counts as a chance that the fix does not work.
 */
function clearsOf(
  state: State,
  candidate: StartsCandidate,
  inPlay: Uint8Array,
  active: Float64Array,
): Float64Array {
  const { efficacy } = planOf(state, candidate);
  if (!candidate.change) return efficacy;
  const setup = changed(state.place.setup, candidate.change);
  const after = causesInPlay({ ...state, place: { ...state.place, setup } });
  let sure = 1;
  after.forEach((now, i) => {
    if (now && !inPlay[i]) sure *= 1 - active[i]!;
  });
  return efficacy.map((eta, i) => sure * (inPlay[i] && !after[i] ? 1 : eta));
}
