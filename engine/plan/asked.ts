/**
 * What advice will ask of a belief: the exposures that its rules must answer for.
 */
import type { State } from "../belief/fold.js";
import { startConditions } from "../belief/compile.js";
import { exposuresOf } from "../belief/model.js";
import type { Entry } from "../ticket/schema.js";
import { candidatesOf, tellingConditions } from "./candidates.js";
import { fixesSeen } from "./fixes.js";
import { readySetups } from "./home.js";
import { isStarts, planOf, type StartsCandidate } from "./starts.js";

/**
 * Exposures in every setup that advice speaks of: where candidates lead to, where repairs are proved, and where a start
 * may be tried that a repair needs. Each of length C.
 */
export function exposuresAsked(state: State, entries: readonly Entry[]): Float64Array[] {
  const { model } = state.belief;
  const led = candidatesOf(state, entries)
    .filter(isStarts)
    .map((candidate) => planOf(state, candidate).exposure);
  const tried = state.place.tried.map((setup) => exposuresOf(model, setup, startConditions(model)));
  return [...led, ...tried, ...proofsAsked(state, entries)];
}

function proofsAsked(state: State, entries: readonly Entry[]): Float64Array[] {
  const { belief, place } = state;
  const { model } = belief;
  return readySetups(model, place, entries).flatMap((setup) => {
    const there = { ...state, place: { ...place, setup } };
    return tellingConditions(model, entries).flatMap((conditions) => {
      const asItIs: StartsCandidate = { kind: "starts", change: null, repair: null, conditions };
      return [asItIs, ...fixesSeen(model, setup, conditions)].map((one) => planOf(there, one).exposure);
    });
  });
}
