/**
 * Information of a batch too large to enumerate: an unbiased mean over seeded walks, with its standard error.
 *
 *   I = H(Z) − E[ H(Z | y) ],  y drawn from the exact predictive chances, H(Z | y) exact for each y.
 */
import type { Belief } from "../belief/belief.js";
import { meanWithError } from "../belief/expected.js";
import { MomentStore } from "../belief/moments.js";
import { walkOnce, type Branch, type Walk } from "../belief/walk.js";
import { seededUniform } from "../numeric/random.js";
import { afterMoves, atomsOf, targetEntropy, type StartsPlan, type Target } from "./information.js";

const WALKS = 12;

/** A branch of an atom: who of its members the moves cleared. */
interface TargetBranch extends Branch {
  target: number;
}

export function walkedInformation(belief: Belief, plan: StartsPlan, n: number, target: Target, seed: number) {
  const branches = branchesOf(belief, plan, n, target);
  const { unlisted, unlistedMass } = belief;
  const ground = { branches, unlisted, unlistedMass, key: plan.key, n, outcomes: belief.model.stages.outcomes };
  const now = targetEntropy(belief, target);
  const uniform = seededUniform(seed);
  return meanWithError(Array.from({ length: WALKS }, () => now - entropyAfter(walkOnce(ground, uniform), branches)));
}

function branchesOf(belief: Belief, plan: StartsPlan, n: number, target: Target): TargetBranch[] {
  const store = new MomentStore(belief, n);
  return atomsOf(belief, target).flatMap((atom) =>
    afterMoves(store.of(atom.group, plan.exposure), atom.group.members, plan, n).map(({ weight, moments }) => ({
      target: atom.target,
      members: moments.shown.length,
      table: belief.model.table(moments.shown),
      values: moments.values.map((v) => weight * v),
    })),
  );
}

/** Entropy of the target given a walk, in bits. */
function entropyAfter(walk: Walk, branches: readonly TargetBranch[]): number {
  const byTarget = new Map<number, number>();
  walk.branches.forEach((w, k) => byTarget.set(branches[k]!.target, (byTarget.get(branches[k]!.target) ?? 0) + w));
  const weights = [...byTarget.values(), walk.unlisted];
  const total = weights.reduce((sum, w) => sum + w, 0);
  return weights.reduce((bits, w) => (w > 0 ? bits - (w / total) * Math.log2(w / total) : bits), 0);
}
