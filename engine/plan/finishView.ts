/** The decision in plain data. */
import type { State } from "../belief/fold.js";
import type { FinishView, FixView, OptionView } from "../weighing.js";
import type { Decision, Option } from "./decide.js";
import type { NamedFix } from "./fixes.js";
import { costOf } from "./minutes.js";
import { cautionsOf, idOf, titleOf } from "./words.js";

/** A smaller share of the cost is no reason to choose. */
const AS_GOOD = 0.01;
/** Options shown beside the endings. */
const SHOWN = 6;

export function finishView(state: State, decision: Decision): FinishView {
  const [first, ...others] = apart(decision.options).map((option) => optionView(state, option));
  const options = [first!, ...others.filter((o, k) => k < SHOWN - 1 || o.kind !== "test")];
  const runnerUp = others[0] ?? null;
  const { minute, comeback, giveBack } = decision.prices;
  const margin = runnerUp ? runnerUp.cost - first!.cost : 0;
  return {
    advice: first!,
    runnerUp,
    margin,
    asGood: margin < AS_GOOD * first!.cost,
    options,
    repairs: decision.finish.order.map((k) => fixView(state, decision.fixes[k]!, decision.proof)),
    proof: decision.proof,
    prices: { minute, comeback, giveBack },
  };
}

/** Of each candidate the best number of starts. */
function apart(options: readonly Option[]): Option[] {
  const seen = new Set<string>();
  return options.filter(({ kind, candidate }) => {
    const key = kind === "test" ? idOf(candidate!) : kind;
    return !seen.has(key) && seen.add(key);
  });
}

function optionView(state: State, { kind, candidate, n, cost }: Option): OptionView {
  const { model } = state.belief;
  if (candidate === null) return { kind, title: ENDINGS[kind as keyof typeof ENDINGS], test: null, n, cost };
  const title = titleOf(model, state.place.setup, candidate, n, true, kind === "replace");
  return { kind, title, test: idOf(candidate), n, cost };
}

const ENDINGS = {
  release: "Hand it back as it is now.",
  return: "Give it back unrepaired.",
};

function fixView(state: State, { candidate }: NamedFix, proof: number): FixView {
  const { model } = state.belief;
  const { fixed, money, cautions } = costOf(state, candidate);
  return {
    title: titleOf(model, state.place.setup, candidate, proof, true, candidate.change !== null),
    test: idOf(candidate),
    minutes: fixed,
    money,
    cautions: cautionsOf(model, cautions),
  };
}
