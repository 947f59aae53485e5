/**
 * The row of starts that proves a repair: how likely each cause is to stay quiet in it, and to come back at the owner's.
 *
 * Rates are integrated out under the posterior of each cause as the only one; for two causes at once the chances are
 * multiplied, which is an approximation: it is used to price what lies ahead and never for the belief itself.
 */
import type { Belief } from "../belief/belief.js";
import { chancesAt } from "../numeric/rule.js";
import { activity } from "../belief/summary.js";
import { unlistedPredictive } from "../belief/unlisted.js";
import type { Proof } from "./finish.js";
import type { HomeUse } from "./home.js";

/** Causes less likely than this are not worth their proof. */
const NEGLIGIBLE = 1e-7;

/** Lengths of the row that are considered. */
export const PROOFS = [1, 2, 3, 4, 6, 8, 12, 20, 30] as const;

/**
 * One proof for each length, before the given use at the owner's.
 * @param exposure  of each cause in the setup of the proof; length C
 * @param key       what `unlisted` takes for it
 */
export function proofsOf(belief: Belief, exposure: Float64Array, key: string, home: HomeUse): Proof[] {
  const C = belief.model.causes.length;
  const proofs = PROOFS.map((n): Proof => ({
    quiet: new Float64Array(C),
    returns: new Float64Array(C),
    returnsNow: new Float64Array(C),
    unlisted: unlistedProof(belief, key, n, home),
  }));
  const active = activity(belief);
  for (let i = 0; i < C; i++) {
    if (active[i]! < NEGLIGIBLE) continue; // as if it always showed in the proof: its mass prices nothing
    const { quiet, both, atHome } = quietChances(belief, i, exposure[i]!, home.exposure[i]!);
    proofs.forEach((one, k) => {
      one.quiet[i] = quiet[k]!;
      one.returns[i] = Math.max(0, quiet[k]! - both[k]!);
      one.returnsNow[i] = 1 - atHome;
    });
  }
  return proofs;
}

/** E[(1 − q)^n] of every length, E[the same times quiet at home], E[quiet at home]. */
function quietChances(belief: Belief, i: number, exposure: number, atHomeExposure: number) {
  const rule = belief.plan.fine[i]!;
  const weight = weightsOf(belief, i);
  // a hard fault that is not exposed stays quiet too: 0 times ln 0 would not say so
  const quietAt = (e: number) => (e > 0 ? chancesAt(rule, e).hide : new Float64Array(weight.length).fill(1));
  const hide = quietAt(exposure);
  const home = quietAt(atHomeExposure);
  const left = weight.slice();
  const quiet: number[] = [];
  const both: number[] = [];
  let n = 0;
  for (const length of PROOFS) {
    for (; n < length; n++) for (let x = 0; x < left.length; x++) left[x] = left[x]! * hide[x]!;
    quiet.push(total(left));
    both.push(dot(left, home));
  }
  return { quiet, both, atHome: dot(weight, home) };
}

function total(values: Float64Array): number {
  let sum = 0;
  for (let x = 0; x < values.length; x++) sum += values[x]!;
  return sum;
}

function dot(values: Float64Array, others: Float64Array): number {
  let sum = 0;
  for (let x = 0; x < values.length; x++) sum += values[x]! * others[x]!;
  return sum;
}

/** Posterior of the rate on the fine rule, given that the cause is the only one and still at work; the prior where it cannot be. */
function weightsOf({ model, plan, grid, masks, mass }: Belief, i: number): Float64Array {
  const f = model.sets.start[1]! + i;
  const at = f * masks + 1;
  if (model.sets.maxCauses === 0 || !(mass[at]! > 0)) return plan.fine[i]!.weight;
  const from = grid.offset[at]!;
  const values = grid.values.subarray(from, from + grid.points[f]!);
  const sum = total(values);
  return sum > 0 ? values.map((w) => w / sum) : plan.fine[i]!.weight;
}

/** The same for `unlisted`; its starts at home count as in the setup it is mostly used in. */
function unlistedProof({ unlisted }: Belief, key: string, n: number, { starts }: HomeUse): Proof["unlisted"] {
  const number = Math.round([...starts.values()].reduce((sum, x) => sum + x, 0));
  const [most] = [...starts].sort((x, y) => y[1] - x[1]);
  const here = unlistedPredictive(unlisted, key);
  const quiet = here([0, n]);
  return {
    quiet,
    returns: Math.max(0, quiet - here([0, n + number])),
    returnsNow: 1 - unlistedPredictive(unlisted, most?.[0] ?? key)([0, number]),
  };
}
