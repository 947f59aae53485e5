/**
 * What each answer of a test would do: its chance, and the chance of every cause before and after.
 */
import type { Belief } from "../belief/belief.js";
import type { Model } from "../belief/model.js";
import { activity } from "../belief/summary.js";
import type { CountSpace } from "../belief/counts.js";
import type { AnswerView } from "../weighing.js";
import type { Atom } from "./atoms.js";
import type { FirstStops } from "./batches.js";
import type { StartsInformation } from "./information.js";
import type { StartsPlan } from "./leafSums.js";
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
  const mass = new Float64Array(kinds.names.length);
  information.atoms.forEach(({ group }, k) => {
    const leaves = information.leavesOf(k, plan);
    mass.fill(0);
    for (let leaf = 0; leaf < space.size; leaf++)
      add(mass, kinds.of[leaf]!, space.multiplicity[leaf]! * leaves[leaf]!);
    share(mass, group.members, chance, after);
  });
  information
    .unlistedLeaves(plan)
    .forEach((p, leaf) => add(chance, kinds.of[leaf]!, space.multiplicity[leaf]! * p));
  return views(belief, kinds.names, chance, after);
}

/** Of a row that ends at its first stop: the stage of it, or all clean. */
export function stopAnswers(stops: FirstStops, plan: StartsPlan, n: number): AnswerView[] {
  const { model, unlistedMass } = stops.belief;
  const names = model.outcomeIds.map((id, o) => ({
    text:
      o === model.outcomeIds.length - 1
        ? answerText(model, id, n, true)
        : `a stop: ${outcomeWords(model, id)}`,
    outcome: id,
  }));
  const chance = new Float64Array(names.length);
  const after = names.map(() => new Float64Array(model.causes.length));
  const mass = new Float64Array(names.length);
  stops.atoms.forEach(({ group }, k) => {
    stops.addAnswers(mass.fill(0), 0, stops.leavesOf(k, plan), n, 1);
    share(mass, group.members, chance, after);
  });
  if (unlistedMass > 0) stops.addAnswers(chance, 0, stops.unlistedLeaves(plan), n, 1);
  return views(stops.belief, names, chance, after);
}

/** What an active set holds of every answer, added to the answers' chances and to its members'. */
function share(
  mass: Float64Array,
  members: readonly number[],
  chance: Float64Array,
  after: readonly Float64Array[],
): void {
  for (let a = 0; a < mass.length; a++) add(chance, a, mass[a]!);
  for (const i of members) for (let a = 0; a < mass.length; a++) add(after[a]!, i, mass[a]!);
}

function add(values: Float64Array, k: number, x: number): void {
  values[k] = values[k]! + x;
}

/** Leaves told apart as people do: all clean, the one stage every stop was at, or stops at several stages. */
function answerKinds(model: Model, { n, outcomes, size, counts }: CountSpace) {
  const clean = outcomes - 1;
  const several = { text: "stops at several stages", outcome: "several" };
  const names = model.outcomeIds.map((id, o) => ({
    text: answerText(model, id, n, o === clean),
    outcome: id,
  }));
  const of = new Uint16Array(size);
  for (let leaf = 0; leaf < size; leaf++) {
    const stages = [...counts.subarray(leaf * outcomes, leaf * outcomes + clean).keys()].filter(
      (s) => counts[leaf * outcomes + s]! > 0,
    );
    of[leaf] = stages.length === 0 ? clean : stages.length === 1 ? stages[0]! : outcomes;
  }
  return { names: [...names, several], of };
}

function answerText(model: Model, id: string, n: number, clean: boolean): string {
  if (clean) return n === 1 ? "a clean start" : `${n} clean starts`;
  return `${n === 1 ? "" : "any "}stop: ${outcomeWords(model, id)}`;
}

export function lookAnswers(
  belief: Belief,
  atoms: readonly Atom[],
  answers: readonly LookAnswer[],
  tied: Uint8Array,
): AnswerView[] {
  const chance = new Float64Array(answers.length);
  const after = answers.map(() => new Float64Array(belief.model.causes.length));
  const given = new Map<number, number[]>();
  const mass = new Float64Array(answers.length);
  for (const { group } of atoms) {
    let key = 0;
    for (const i of group.members) if (tied[i]) key = key * (tied.length + 1) + i + 1;
    let chances = given.get(key);
    if (!chances) {
      const active = group.members.filter((i) => tied[i]);
      given.set(key, (chances = answers.map((answer) => answer.given(active))));
    }
    for (let a = 0; a < mass.length; a++) mass[a] = group.mass * chances[a]!;
    share(mass, group.members, chance, after);
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
  return [...names.keys()]
    .filter((a) => chance[a]! > LEAST)
    .sort((x, y) => chance[y]! - chance[x]!)
    .map((a) => {
      const { text, outcome } = names[a]!;
      const now = after[a]!.map((p) => p / chance[a]!);
      const effects = mostMoved(before, now).map((i) => ({
        cause: causes[i]!.id,
        before: before[i]!,
        after: now[i]!,
      }));
      return { text, outcome, chance: chance[a]!, effects };
    });
}

/** The causes that differ most, the most first. */
function mostMoved(before: Float64Array, now: Float64Array): number[] {
  const moved = (i: number) => Math.abs(now[i]! - before[i]!);
  const most: number[] = [];
  for (let i = 0; i < before.length; i++) {
    if (most.length === SHOWN && moved(i) <= moved(most[SHOWN - 1]!)) continue;
    const at = most.findIndex((j) => moved(i) > moved(j));
    most.splice(at < 0 ? most.length : at, 0, i);
    most.length = Math.min(most.length, SHOWN);
  }
  return most;
}
