/**
 * Tests as the outlook sees them: the chance of every answer under every active set, and what the test costs.
 */
import type { State } from "../belief/fold.js";
import type { Atom } from "./atoms.js";
import { STOPPING, type FirstStops } from "./batches.js";
import type { Candidate } from "./candidates.js";
import type { StartsPlan } from "./leafSums.js";
import { answersTo, tiedTo, type Look } from "./looks.js";
import { wayBack, type Cost } from "./minutes.js";
import type { Trial } from "./outlook.js";
import { isStarts } from "./starts.js";

/** A candidate as the ranking left it. */
export interface RankedTest {
  candidate: Candidate;
  cost: Cost;
  /** null for a look */
  plan: StartsPlan | null;
}

export interface NamedTrial {
  candidate: Candidate;
  /** starts at most; the row ends at the first stop */
  n: number;
  trial: Trial;
}

/** What tests are seen from. */
export interface Ground {
  state: State;
  atoms: readonly Atom[];
  stops: FirstStops;
  /** money for a minute of labour */
  minute: number;
}

/** @param sizes  rows of starts to consider */
export function trialsOf(ground: Ground, test: RankedTest, sizes: readonly number[]): NamedTrial[] {
  const { candidate } = test;
  if (isStarts(candidate)) return sizes.map((n) => ({ candidate, n, trial: startsTrial(ground, test, n) }));
  return [{ candidate, n: 1, trial: lookTrial(ground, candidate, test.cost) }];
}

/** Answers: the stage of the first stop, or n clean starts. */
function startsTrial({ state, atoms, stops, minute }: Ground, test: RankedTest, n: number): Trial {
  const { candidate, cost } = test;
  const plan = test.plan!;
  const answers = state.belief.model.stages.outcomes;
  const chance = new Float64Array(atoms.length * answers);
  stops.eachAtom(plan, (k, leaves, from) => {
    stops.addAnswers(chance, k * answers, leaves, from, n, 1 / atoms[k]!.group.mass);
  });
  const unlisted = new Float64Array(answers);
  const { unlistedMass } = state.belief;
  if (unlistedMass > 0) stops.addAnswers(unlisted, 0, stops.unlistedLeaves(plan), 0, n, 1 / unlistedMass);
  const minutes = cost.fixed + stops.startsOf(plan, n) * cost.perStart + backFrom(state, candidate);
  return { cost: minutes * minute + cost.money, chance, unlisted };
}

const backFrom = (state: State, candidate: Candidate): number =>
  isStarts(candidate) ? wayBack(state, candidate.change) : 0;

function lookTrial({ state, atoms, minute }: Ground, look: Look, cost: Cost): Trial {
  const { belief, place } = state;
  const answers = answersTo(belief, look);
  const tied = tiedTo(belief.model, place.setup, look);
  const chance = new Float64Array(atoms.length * answers.length);
  const known = new Map<string, number[]>();
  atoms.forEach(({ group }, k) => {
    const active = group.members.filter((i) => tied[i]);
    const key = active.join();
    let given = known.get(key);
    if (!given) known.set(key, (given = answers.map((answer) => answer.given(active))));
    chance.set(given, k * answers.length);
  });
  return {
    cost: cost.fixed * minute + cost.money,
    chance,
    unlisted: Float64Array.from(answers, (answer) => answer.givenUnlisted),
  };
}

/** Rows of starts that are considered where there are few sets: every size. */
export const EVERY_SIZE: readonly number[] = [1, ...STOPPING];
