/**
 * Information of a batch too large to enumerate: unbiased, with its standard error.
 *
 *   I(Z; Y) = I(Z; C) + E[ H(Z | c) − H(Z | y) ],
 *
 * C the number of clean starts, whose information is exact, and y drawn by seeded walks from the exact predictive
 * chances. Only what the stages add to the count is estimated, so the error is small.
 */
import type { Belief } from "../belief/belief.js";
import { meanWithError } from "../belief/expected.js";
import { MomentStore } from "../belief/moments.js";
import { walkOnce, type Branch, type Walk } from "../belief/walk.js";
import { seededUniform } from "../numeric/random.js";
import { entropyOf, type Atom } from "./atoms.js";
import { afterMoves, type StartsInformation } from "./information.js";
import type { StartsPlan } from "./leafSums.js";

const WALKS = 12;

/** A branch of an atom: who of its members the moves cleared. */
interface TargetBranch extends Branch {
  target: number;
}

/** @param counted  the information of the clean starts alone, for the same n */
export function walkedInformation(
  counted: StartsInformation,
  plan: StartsPlan,
  seed: number,
): { bits: number; error: number } {
  const { belief, n, atoms } = counted;
  const branches = branchesOf(belief, plan, n, atoms);
  const { unlisted, unlistedMass } = belief;
  const { outcomes } = belief.model.stages;
  const ground = { branches, unlisted, unlistedMass, key: plan.key, n, outcomes };
  const uniform = seededUniform(seed);
  const byClean = counted.entropyByLeaf(plan);
  const added = meanWithError(
    Array.from({ length: WALKS }, () => {
      const walk = walkOnce(ground, uniform);
      return byClean[walk.counts[outcomes - 1]!]! - entropyAfter(walk, branches);
    }),
  );
  return { bits: counted.of(plan).bits + added.bits, error: added.error };
}

function branchesOf(belief: Belief, plan: StartsPlan, n: number, atoms: readonly Atom[]): TargetBranch[] {
  const store = new MomentStore(belief, n);
  return atoms.flatMap((atom) =>
    afterMoves(store.of(atom.group, plan.exposure), atom.group.members, plan, n).map(
      ({ weight, moments }) => ({
        target: atom.target,
        members: moments.shown.length,
        table: belief.model.table(moments.shown),
        values: moments.values.map((v) => weight * v),
      }),
    ),
  );
}

/** Entropy of the target given a walk, in bits. */
function entropyAfter(walk: Walk, branches: readonly TargetBranch[]): number {
  const byTarget = new Map<number, number>();
  walk.branches.forEach((w, k) =>
    byTarget.set(branches[k]!.target, (byTarget.get(branches[k]!.target) ?? 0) + w),
  );
  return entropyOf([...byTarget.values(), walk.unlisted]);
}
