/**
 * Candidates that end in starts: the setup they lead to, and what the way there may clear.
 */
import type { State } from "../belief/fold.js";
import { exposuresOf } from "../belief/model.js";
import { repairEfficacy, startConditions } from "../belief/compile.js";
import { changed, setupKey, touchedContacts } from "../ticket/setup.js";
import type { Candidate } from "./candidates.js";
import type { StartsPlan } from "./leafSums.js";

export type StartsCandidate = Extract<Candidate, { kind: "starts" | "repair" }>;

export const isStarts = (candidate: Candidate): candidate is StartsCandidate =>
  candidate.kind === "starts" || candidate.kind === "repair";

/** The change comes before the repair. */
export function planOf({ belief, place }: State, candidate: StartsCandidate): StartsPlan {
  const { model } = belief;
  const efficacy = new Float64Array(model.causes.length);
  let { setup, repairs } = place;
  if (candidate.change) {
    const after = changed(setup, candidate.change);
    for (const i of touchedContacts(model.causes, setup, after, model)) efficacy[i] = model.causes[i]!.reseat;
    setup = after;
  }
  if (candidate.repair) {
    const { repair, on } = candidate.repair;
    repairEfficacy(model, setup, repair, on ?? undefined).forEach((eta, i) => {
      efficacy[i] = 1 - (1 - efficacy[i]!) * (1 - eta);
    });
    if (repair.sets) setup = changed(setup, { settings: repair.sets });
    repairs++;
  }
  const minutes = startConditions(model, candidate.conditions);
  return {
    exposure: exposuresOf(model, setup, minutes),
    efficacy,
    key: setupKey(setup, minutes, repairs, model),
  };
}
