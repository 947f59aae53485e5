/**
 * What a belief says: probabilities of presence and of being at work, of sets, and of what the next start will do.
 */
import type { Belief } from "./belief.js";
import { MAX_SIZE } from "./sets.js";

/** Probabilities by cause, with the complement kept apart so that odds near 1 keep their digits. */
export interface Odds {
  /** P(i ∈ F); length C */
  present: Float64Array;
  /** P(i ∉ F), the empty set and `unlisted` included; length C */
  absent: Float64Array;
}

export function presence(belief: Belief): Odds {
  const { sets } = belief.model;
  const C = sets.causes;
  const present = new Float64Array(C);
  let total = belief.unlistedMass;
  const bySet = setMasses(belief);
  for (let f = 0; f < sets.count; f++) {
    total += bySet[f]!;
    for (let m = 0; m < sets.size[f]!; m++) add(present, sets.members[f * MAX_SIZE + m]!, bySet[f]!);
  }
  const absent = present.map((p, i) => (p < 0.9 * total ? total - p : absentMass(belief, bySet, i)));
  return { present, absent };
}

/** Σ over sets without i: no difference of near-equals. */
function absentMass(belief: Belief, bySet: Float64Array, i: number): number {
  const { sets } = belief.model;
  let sum = belief.unlistedMass;
  for (let f = 0; f < sets.count; f++) {
    let has = false;
    for (let m = 0; m < sets.size[f]!; m++) if (sets.members[f * MAX_SIZE + m] === i) has = true;
    if (!has) sum += bySet[f]!;
  }
  return sum;
}

/** P(F | record); length sets.count. */
export function setMasses({ model, mass, masks }: Belief): Float64Array {
  const bySet = new Float64Array(model.sets.count);
  for (let f = 0; f < bySet.length; f++)
    for (let mask = 0; mask < masks; mask++) bySet[f] = bySet[f]! + mass[f * masks + mask]!;
  return bySet;
}

/** Every candidate of one belief asks for it. */
const activities = new WeakMap<Belief, Float64Array>();

/** P(i ∈ G), still active wherever its part now is; length C. Not to be written to. */
export function activity(belief: Belief): Float64Array {
  let active = activities.get(belief);
  if (!active) activities.set(belief, (active = activityOf(belief)));
  return active;
}

function activityOf(belief: Belief): Float64Array {
  const { sets } = belief.model;
  const active = new Float64Array(sets.causes);
  for (let f = 0; f < sets.count; f++)
    for (let m = 0; m < sets.size[f]!; m++)
      add(active, sets.members[f * MAX_SIZE + m]!, activeMass(belief, f, m));
  return active;
}

/** P(F is set f, its m-th member still active | record). */
export function activeMass({ mass, masks }: Belief, f: number, m: number): number {
  let sum = 0;
  for (let mask = 0; mask < masks; mask++) if (mask & (1 << m)) sum += mass[f * masks + mask]!;
  return sum;
}

/**
 * P(nothing on the list is at work): no active cause among those in `inPlay`; `unlisted` is not counted in.
 * @param inPlay  1 for each cause with exposure in the machine as now fitted; length C
 */
export function nothingAtWork(belief: Belief, inPlay: Uint8Array): number {
  const { model, mass, masks } = belief;
  const { sets } = model;
  let sum = 0;
  for (let f = 0; f < sets.count; f++) {
    let atWork = 0;
    for (let m = 0; m < sets.size[f]!; m++) if (inPlay[sets.members[f * MAX_SIZE + m]!]) atWork |= 1 << m;
    for (let mask = 0; mask < masks; mask++) if ((mask & atWork) === 0) sum += mass[f * masks + mask]!;
  }
  return sum;
}

/** 10 log10 of odds; null where one side is 0. */
export const decibans = (present: number, absent: number): number | null =>
  present > 0 && absent > 0 ? 10 * Math.log10(present / absent) : null;

function add(values: Float64Array, k: number, x: number): void {
  values[k] = values[k]! + x;
}
