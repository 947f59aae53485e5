/**
 * What each answer of a test would do: its chance, and the chance of every cause before and after.
 */
import { activeMembers, type Belief } from "../belief/belief.js";
import type { Model } from "../belief/model.js";
import { activity } from "../belief/summary.js";
import { unlistedLeaves, type CountSpace } from "../belief/counts.js";
import type { AnswerView } from "../weighing.js";
import type { StartsInformation, StartsPlan } from "./information.js";
import type { LookAnswer } from "./looks.js";
import { outcomeWords } from "./words.js";

/** Causes shown with an answer: those it moves most. */
const SHOWN = 4;
/** Answers less likely than this are left out. */
const LEAST = 0.002;

export function startsAnswers(information: StartsInformation, plan: StartsPlan): AnswerView[] {
  const { belief, space } = information;
  const kinds = answerKinds(belief.model, space);
  const chance = new Float64Array(kinds.names.length);
  const after = kinds.names.map(() => new Float64Array(belief.model.causes.length));
  information.atoms.forEach(({ group }, k) => {
    const leaves = information.leavesOf(k, plan);
    const mass = new Float64Array(kinds.names.length);
    for (let leaf = 0; leaf < space.size; leaf++) add(mass, kinds.of[leaf]!, space.multiplicity[leaf]! * leaves[leaf]!);
    mass.forEach((m, a) => {
      add(chance, a, m);
      for (const i of group.members) add(after[a]!, i, m);
    });
  });
  unlistedLeaves(belief.unlisted, belief.unlistedMass, plan.key, space).forEach((p, leaf) =>
    add(chance, kinds.of[leaf]!, space.multiplicity[leaf]! * p),
  );
  return views(belief, kinds.names, chance, after);
}

function add(values: Float64Array, k: number, x: number): void {
  values[k] = values[k]! + x;
}

/** Leaves told apart as people do: all clean, the one stage every stop was at, or stops at several stages. */
function answerKinds(model: Model, { n, outcomes, size, counts }: CountSpace) {
  const clean = outcomes - 1;
  const several = { text: "stops at several stages", outcome: "several" };
  const names = model.outcomeIds.map((id, o) => ({ text: answerText(model, id, n, o === clean), outcome: id }));
  const of = new Uint16Array(size);
  for (let leaf = 0; leaf < size; leaf++) {
    const stages = [...counts.subarray(leaf * outcomes, leaf * outcomes + clean).keys()].filter((s) => counts[leaf * outcomes + s]! > 0);
    of[leaf] = stages.length === 0 ? clean : stages.length === 1 ? stages[0]! : outcomes;
  }
  return { names: [...names, several], of };
}

function answerText(model: Model, id: string, n: number, clean: boolean): string {
  if (clean) return n === 1 ? "a clean start" : `${n} clean starts`;
  return `${n === 1 ? "" : "any "}stop: ${outcomeWords(model, id)}`;
}

export function lookAnswers(belief: Belief, answers: readonly LookAnswer[], tied: Uint8Array): AnswerView[] {
  const { model, masks, mass } = belief;
  const chance = new Float64Array(answers.length);
  const after = answers.map(() => new Float64Array(model.causes.length));
  for (let f = 0; f < model.sets.count; f++)
    for (let mask = 0; mask < 1 << model.sets.size[f]!; mask++) {
      const p = mass[f * masks + mask]!;
      if (!(p > 0)) continue;
      const members = activeMembers(model, f, mask);
      const active = members.filter((i) => tied[i]);
      answers.forEach((answer, a) => {
        const joint = p * answer.given(active);
        add(chance, a, joint);
        for (const i of members) add(after[a]!, i, joint);
      });
    }
  answers.forEach((answer, a) => add(chance, a, belief.unlistedMass * answer.givenUnlisted));
  return views(belief, answers, chance, after);
}

function views(
  belief: Belief,
  names: readonly { text: string; outcome: string }[],
  chance: Float64Array,
  after: readonly Float64Array[],
): AnswerView[] {
  const { causes } = belief.model;
  const before = activity(belief);
  return names
    .map(({ text, outcome }, a) => {
      const now = after[a]!.map((p) => (chance[a]! > 0 ? p / chance[a]! : 0));
      const effects = causes
        .map((cause, i) => ({ cause: cause.id, before: before[i]!, after: now[i]! }))
        .sort((x, y) => Math.abs(y.after - y.before) - Math.abs(x.after - x.before))
        .slice(0, SHOWN);
      return { text, outcome, chance: chance[a]!, effects };
    })
    .filter((answer) => answer.chance > LEAST)
    .sort((x, y) => y.chance - x.chance);
}
