/**
 * Information of a batch too large to enumerate: an unbiased mean over seeded walks, with its standard error.
 *
 *   I = H(Z) − E[ H(Z | y) ],  y drawn from the exact predictive chances, H(Z | y) exact for each y.
 */
import type { Belief } from "../belief/belief.js";
import { meanWithError } from "../belief/expected.js";
import { lower, outcomeTable } from "../belief/counts.js";
import { MomentStore, totalMoment, withoutMember } from "../belief/moments.js";
import { addStarts, logUnlisted } from "../belief/unlisted.js";
import { seededUniform } from "../numeric/random.js";
import { atomsOf, targetEntropy, type StartsPlan, type Target } from "./information.js";

const WALKS = 16;

/** One branch of an atom: who of its members the moves cleared. */
interface Branch {
  target: number;
  weight: number;
  members: number;
  table: Float64Array;
  values: Float64Array;
}

export function walkedInformation(belief: Belief, plan: StartsPlan, n: number, target: Target, seed: number) {
  const branches = branchesOf(belief, plan, n, target);
  const now = targetEntropy(belief, target);
  const uniform = seededUniform(seed);
  const gains = Array.from({ length: WALKS }, () => now - entropyAfterWalk(belief, plan, n, branches, uniform));
  return { bits: meanWithError(gains).bits, error: meanWithError(gains).error };
}

function branchesOf(belief: Belief, plan: StartsPlan, n: number, target: Target): Branch[] {
  const store = new MomentStore(belief, n);
  return atomsOf(belief, target).flatMap((atom) => {
    let split = [{ weight: 1, moments: store.of(atom.group, plan.exposure) }];
    for (const i of atom.group.members) {
      const eta = plan.efficacy[i]!;
      if (eta === 0 || plan.exposure[i] === 0) continue;
      split = split.flatMap(({ weight, moments }) => [
        { weight: weight * (1 - eta), moments },
        { weight: weight * eta, moments: withoutMember(moments, i, n) },
      ]);
    }
    return split
      .filter(({ weight }) => weight > 0)
      .map(({ weight, moments }) => ({
        target: atom.target,
        weight,
        members: moments.shown.length,
        table: outcomeTable(belief.model.stages, moments.shown),
        values: moments.values,
      }));
  });
}

/** Draw n outcomes one by one, and return the entropy of the target given them, in bits. */
function entropyAfterWalk(belief: Belief, plan: StartsPlan, n: number, start: readonly Branch[], uniform: () => number): number {
  const { outcomes } = belief.model.stages;
  const before = logUnlisted(belief.unlisted);
  let branches = start;
  let { unlisted } = belief;
  for (let left = n; left > 0; left--) {
    const chances = predictiveOf(branches, left, outcomes);
    const next = chances.map((_, o) => {
      const wanted = Uint8Array.from({ length: outcomes }, (__, k) => Number(k === o));
      return addStarts(unlisted, plan.key, [{ wanted, n: 1 }], 1);
    });
    next.forEach((u, o) => (chances[o] = chances[o]! + belief.unlistedMass * Math.exp(logUnlisted(u) - before)));
    const outcome = pick(chances, uniform());
    unlisted = next[outcome]!;
    branches = branches.map((b) => ({ ...b, values: lower(b.values, left, b.members, b.table, outcome) }));
  }
  const byTarget = new Map<number, number>();
  for (const b of branches) byTarget.set(b.target, (byTarget.get(b.target) ?? 0) + b.weight * b.values[0]!);
  return entropyOf([...byTarget.values(), belief.unlistedMass * Math.exp(logUnlisted(unlisted) - before)]);
}

/** Chance of each next outcome together with what was drawn: moments brought to degree one, then the outcome table. */
function predictiveOf(branches: readonly Branch[], left: number, outcomes: number): number[] {
  const chances = new Array<number>(outcomes).fill(0);
  for (const b of branches)
    for (let o = 0; o < outcomes; o++)
      chances[o] = chances[o]! + b.weight * totalMoment(lower(b.values, left, b.members, b.table, o), left - 1, b.members);
  return chances;
}

function pick(chances: readonly number[], u: number): number {
  const total = chances.reduce((sum, p) => sum + p, 0);
  let sum = 0;
  for (let k = 0; k < chances.length; k++) if ((sum += chances[k]!) > u * total) return k;
  return chances.length - 1;
}

function entropyOf(weights: readonly number[]): number {
  const total = weights.reduce((sum, w) => sum + w, 0);
  return weights.reduce((bits, w) => (w > 0 ? bits - (w / total) * Math.log2(w / total) : bits), 0);
}
