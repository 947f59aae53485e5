/**
 * What the expected information is about: the values of the target, split into the active sets that decide what is seen.
 */
import { activeMembers, type Belief } from "../belief/belief.js";
import { groupsOf, withoutTraces, type Group } from "../belief/moments.js";

export type Target = "active" | "root";

/** An active set under one value of the target. */
export interface Atom {
  group: Group;
  target: number;
}

/**
 * The atoms that hold any mass to speak of: what is left out holds less than 1e-12 in all, which moves no expected
 * information by more than 1e-10 bits (its own entropy, and that of an answer with up to 2^50 leaves).
 */
export const atomsOf = (belief: Belief, target: Target): Atom[] =>
  withoutTraces(allAtoms(belief, target), ({ group }) => group.mass);

const allAtoms = (belief: Belief, target: Target): Atom[] =>
  target === "active" ? groupsOf(belief).map((group) => ({ group, target: group.set })) : rootAtoms(belief);

/** One atom for each hypothesis and mask: the root cause is the target, what is left of it decides the outcomes. */
function rootAtoms(belief: Belief): Atom[] {
  const { model, masks, mass } = belief;
  const atoms: Atom[] = [];
  for (let f = 0; f < model.sets.count; f++)
    for (let mask = 0; mask < 1 << model.sets.size[f]!; mask++) {
      const at = f * masks + mask;
      if (!(mass[at]! > 0)) continue;
      // `set` names the atom's moments in the store, which must not be shared between hypotheses
      atoms.push({
        group: { set: -1 - at, members: activeMembers(model, f, mask), mass: mass[at]!, places: [at] },
        target: f,
      });
    }
  return atoms;
}

/** Entropy of weights that need not add up to 1, in bits. */
export function entropyOf(weights: readonly number[]): number {
  const total = weights.reduce((sum, w) => sum + w, 0);
  return weights.reduce((bits, w) => (w > 0 ? bits - (w / total) * Math.log2(w / total) : bits), 0);
}

/** Entropy of the target now, in bits. */
export function targetEntropy(belief: Belief, target: Target): number {
  const byTarget = new Map<number, number>();
  for (const atom of atomsOf(belief, target))
    byTarget.set(atom.target, (byTarget.get(atom.target) ?? 0) + atom.group.mass);
  let bits = 0;
  for (const p of [...byTarget.values(), belief.unlistedMass]) if (p > 0) bits -= p * Math.log2(p);
  return bits;
}

interface Index {
  byCause: readonly (readonly number[])[];
  mass: number;
}

/** Every candidate of one belief asks for the same. */
const indexes = new WeakMap<readonly Atom[], Index>();

function indexOf(atoms: readonly Atom[]): Index {
  let index = indexes.get(atoms);
  if (!index) {
    const byCause: number[][] = [];
    let mass = 0;
    atoms.forEach(({ group }, k) => {
      group.members.forEach((i) => (byCause[i] ??= []).push(k));
      mass += group.mass;
    });
    indexes.set(atoms, (index = { byCause, mass }));
  }
  return index;
}

/** By cause, the atoms in which it is active, rising; undefined where there are none. */
export const atomsByCause = (atoms: readonly Atom[]): Index["byCause"] => indexOf(atoms).byCause;

/** P(anything but `unlisted`). */
export const massOf = (atoms: readonly Atom[]): number => indexOf(atoms).mass;
