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
  const told = new Told(belief, kinds.names.length);
  const { mass } = told;
  const addKinds = (values: Float64Array, at: number): void => {
    for (let leaf = 0; leaf < space.size; leaf++)
      add(mass, kinds.of[leaf]!, space.multiplicity[leaf]! * values[at + leaf]!);
  };
  information.eachAtom(plan, (k, values, at) => {
    addKinds(values, at);
    told.share(information.atoms[k]!.group.members);
  });
  addKinds(information.unlistedLeaves(plan), 0);
  told.share(NOBODY);
  return told.views(kinds.names);
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
  const told = new Told(stops.belief, names.length);
  stops.eachAtom(plan, (k, leaves, from) => {
    stops.addAnswers(told.mass, 0, leaves, from, n, 1);
    told.share(stops.atoms[k]!.group.members);
  });
  if (unlistedMass > 0) stops.addAnswers(told.mass, 0, stops.unlistedLeaves(plan), 0, n, 1);
  told.share(NOBODY);
  return told.views(names);
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
  const told = new Told(belief, answers.length);
  const { mass } = told;
  const given = new Map<number, number[]>();
  for (const { group } of atoms) {
    let key = 0;
    for (const i of group.members) if (tied[i]) key = key * (tied.length + 1) + i + 1;
    let chances = given.get(key);
    if (!chances) {
      const active = group.members.filter((i) => tied[i]);
      given.set(key, (chances = answers.map((answer) => answer.given(active))));
    }
    for (let a = 0; a < mass.length; a++) mass[a] = group.mass * chances[a]!;
    told.share(group.members);
  }
  answers.forEach((answer, a) => add(mass, a, belief.unlistedMass * answer.givenUnlisted));
  told.share(NOBODY);
  return told.views(answers);
}

const NOBODY: readonly number[] = [];

/** Chances of the answers, and of every cause with each of them. */
class Told {
  /** what one active set holds of every answer, until it is shared out */
  readonly mass: Float64Array;
  private readonly chance: Float64Array;
  /** P(answer and the cause at work), causes × answers, row-major */
  private readonly joint: Float64Array;

  constructor(
    private readonly belief: Belief,
    answers: number,
  ) {
    this.mass = new Float64Array(answers);
    this.chance = new Float64Array(answers);
    this.joint = new Float64Array(belief.model.causes.length * answers);
  }

  /** Adds the mass to the answers' chances and to the members', and clears it. */
  share(members: readonly number[]): void {
    const { mass, chance, joint } = this;
    const answers = mass.length;
    for (let m = 0; m < members.length; m++)
      for (let a = 0, at = members[m]! * answers; a < answers; a++, at++) add(joint, at, mass[a]!);
    for (let a = 0; a < answers; a++) {
      add(chance, a, mass[a]!);
      mass[a] = 0;
    }
  }

  /** The likeliest first. */
  views(names: readonly { text: string; outcome: string }[]): AnswerView[] {
    const { belief, chance, joint } = this;
    const { causes } = belief.model;
    const before = activity(belief);
    return [...names.keys()]
      .filter((a) => chance[a]! > LEAST)
      .sort((x, y) => chance[y]! - chance[x]!)
      .map((a) => {
        const { text, outcome } = names[a]!;
        const after = before.map((_, i) => joint[i * names.length + a]! / chance[a]!);
        const effects = mostMoved(before, after).map((i) => ({
          cause: causes[i]!.id,
          before: before[i]!,
          after: after[i]!,
        }));
        return { text, outcome, chance: chance[a]!, effects };
      });
  }
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
