/**
 * One press: the belief after a further start, and every candidate ranked at the given batch sizes.
 */
import { modelOf } from "../../engine/belief/model.js";
import { startState, step, type State } from "../../engine/belief/fold.js";
import { letGo } from "../../engine/belief/spare.js";
import { findingTied } from "../../engine/belief/compile.js";
import { candidatesOf, type Candidate } from "../../engine/plan/candidates.js";
import { costOf } from "../../engine/plan/minutes.js";
import { atomsOf } from "../../engine/plan/atoms.js";
import { StartsInformation } from "../../engine/plan/information.js";
import { findingInformation } from "../../engine/plan/looks.js";
import { isStarts, planOf } from "../../engine/plan/starts.js";
import type { Bench } from "./workbench.js";

export const stateOf = ({ catalog, ticket }: Bench): State =>
  ticket.entries.reduce(step, startState(modelOf(catalog, ticket)));

/** What a further start makes of it, asked for once: its weights are let go as a weigher does, that presses one after another. */
export function afterStart(state: State, ask: (after: State) => void = () => undefined): void {
  const after = step(state, { kind: "starts", id: "press", trials: [{ outcome: "s1", n: 1 }] });
  ask(after);
  letGo(after.belief.grid.values);
}

/** Bits per minute of every candidate at its best size among `sizes`. */
export function rank(state: State, candidates: readonly Candidate[], sizes: readonly number[]): number[] {
  const atoms = atomsOf(state.belief, "active");
  const informations = sizes.map((n) => new StartsInformation(state.belief, n, "active", atoms));
  return candidates.map((candidate) => {
    const cost = costOf(state, candidate);
    if (candidate.kind === "finding") {
      const tied = findingTied(
        state.belief.model,
        state.place.setup,
        candidate.finding,
        candidate.on ?? undefined,
      );
      return findingInformation(state.belief, atoms, candidate.finding, tied, "active") / cost.fixed;
    }
    if (!isStarts(candidate)) return 0;
    const plan = planOf(state, candidate);
    return Math.max(...informations.map((x) => x.of(plan).bits / (cost.fixed + x.n * cost.perStart)));
  });
}

export const candidates = (state: State, { ticket }: Bench, most: number): Candidate[] =>
  candidatesOf(state, ticket.entries).slice(0, most);
