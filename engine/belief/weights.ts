/**
 * Weights over the rates of those that are at work, and of them alone.
 *
 * What is seen next depends on the active causes and their rates. The rates of causes that were there and have left are
 * summed over, once for each belief: after a change every pair has left something behind, and every candidate would
 * have to sum it again.
 */
import type { Belief } from "./belief.js";
import { MAX_SIZE } from "./sets.js";
import type { Group } from "./moments.js";

/** A grid over the rates of a group's members, row-major, in their order. */
export interface Weights {
  values: Float64Array;
  /** where it begins among the values */
  from: number;
  /** what the values are to be multiplied by */
  factor: number;
  /** the axes are the members' fine rules, else their compact ones */
  fine: boolean;
}

const known = new WeakMap<Belief, Map<number, readonly Weights[]>>();

/** Grids that add up to P(group, rates): one on the fine rules, where the group was all there was, and what others left. */
export function weightsOf(belief: Belief, group: Group): readonly Weights[] {
  let own = known.get(belief);
  if (!own) known.set(belief, (own = new Map()));
  let weights = own.get(group.set);
  if (!weights) own.set(group.set, (weights = gathered(belief, group)));
  return weights;
}

/** Points along a member's axis. */
export const pointsAlong = ({ plan }: Belief, i: number, fine: boolean): number =>
  (fine ? plan.fine : plan.compact)[i]!.rate.length;

function gathered(belief: Belief, { members, mass, places }: Group): Weights[] {
  if (members.length === 0) return [{ values: Float64Array.of(mass), from: 0, factor: 1, fine: true }];
  const { grid, factor, masks, model } = belief;
  const weights: Weights[] = [];
  let left: Float64Array | null = null;
  for (const at of places) {
    const f = Math.floor(at / masks);
    if (model.sets.size[f] === members.length)
      weights.push({
        values: grid.values,
        from: grid.offset[at]!,
        factor: factor[at]!,
        fine: members.length === 1,
      });
    else {
      left ??= new Float64Array(members.reduce((n, i) => n * pointsAlong(belief, i, false), 1));
      addSummed(left, belief, at);
    }
  }
  if (left) weights.push({ values: left, from: 0, factor: 1, fine: false });
  return weights;
}

/** Adds a grid, summed over the axes of those that have left. */
function addSummed(into: Float64Array, belief: Belief, at: number): void {
  const { grid, factor, masks, model, plan } = belief;
  const f = Math.floor(at / masks);
  const size = model.sets.size[f]!;
  // how far a step along each axis leads in the sum: not at all, along one that is summed over
  const points = [1, 1, 1];
  const stride = [0, 0, 0];
  for (let m = size - 1, next = 1; m >= 0; m--) {
    const place = MAX_SIZE - size + m;
    points[place] = plan.compact[model.sets.members[f * MAX_SIZE + m]!]!.rate.length;
    if (((at % masks) & (1 << m)) === 0) continue;
    stride[place] = next;
    next *= points[place]!;
  }
  const [na, nb, nc] = points as [number, number, number];
  const [sa, sb, sc] = stride as [number, number, number];
  const scale = factor[at]!;
  let from = grid.offset[at]!;
  for (let a = 0; a < na; a++)
    for (let b = 0; b < nb; b++) {
      const to = a * sa + b * sb;
      if (sc === 0) {
        let sum = 0;
        for (let c = 0; c < nc; c++) sum += grid.values[from++]!;
        into[to] = into[to]! + sum * scale;
      } else for (let c = 0; c < nc; c++) into[to + c] = into[to + c]! + grid.values[from++]! * scale;
    }
}
