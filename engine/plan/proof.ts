/**
 * The row of starts that proves a repair: how likely each cause is to stay quiet in it, and to come back at the owner's.
 *
 * Rates are integrated out under the posterior of each cause as the only one; for two causes at once the chances are
 * multiplied, which is an approximation: it is used to price what lies ahead and never for the belief itself.
 */
import type { Belief } from "../belief/belief.js";
import type { State } from "../belief/fold.js";
import { exposuresOf } from "../belief/model.js";
import { startConditions } from "../belief/compile.js";
import { intakeSetup, OWN, setupKey } from "../ticket/setup.js";
import { chancesAt } from "../numeric/rule.js";
import { power } from "../numeric/power.js";
import { unlistedPredictive } from "../belief/unlisted.js";
import type { Proof } from "./finish.js";

/** Lengths of the row that are considered. */
export const PROOFS = [1, 2, 3, 4, 6, 8, 12, 20, 30] as const;

/** Starts in one setup. */
export interface Use {
  /** of each cause; length C */
  exposure: Float64Array;
  key: string;
  starts: number;
}

/** One proof for each length, in one setup, before the given use at the owner's. */
export function proofsOf(belief: Belief, proof: Omit<Use, "starts">, use: readonly Use[]): Proof[] {
  const C = belief.model.causes.length;
  const proofs = PROOFS.map((n): Proof => ({
    quiet: new Float64Array(C),
    returns: new Float64Array(C),
    returnsNow: new Float64Array(C),
    unlisted: unlistedProof(belief, proof.key, n, use),
  }));
  for (let i = 0; i < C; i++) {
    const { quiet, both, atHome } = quietChances(belief, i, proof.exposure[i]!, use);
    proofs.forEach((one, k) => {
      one.quiet[i] = quiet[k]!;
      one.returns[i] = Math.max(0, quiet[k]! - both[k]!);
      one.returnsNow[i] = 1 - atHome;
    });
  }
  return proofs;
}

/** E[(1 − q)^n] of every length, E[the same times quiet at home], E[quiet at home]. */
function quietChances(belief: Belief, i: number, exposure: number, use: readonly Use[]) {
  const rule = belief.plan.fine[i]!;
  const weight = weightsOf(belief, i);
  // a hard fault that is not exposed stays quiet too: 0 times ln 0 would not say so
  const hide = exposure > 0 ? chancesAt(rule, exposure).hide : new Float64Array(weight.length).fill(1);
  const home = new Float64Array(weight.length).fill(1);
  for (const { exposure: e, starts } of use)
    if (e[i]! > 0) {
      const own = chancesAt(rule, e[i]!).hide;
      for (let x = 0; x < home.length; x++) home[x] = home[x]! * power(own[x]!, starts);
    }
  const quiet = PROOFS.map(() => 0);
  const both = PROOFS.map(() => 0);
  let atHome = 0;
  for (let x = 0; x < weight.length; x++) {
    let [w, n] = [weight[x]!, 0];
    atHome += w * home[x]!;
    PROOFS.forEach((length, k) => {
      for (; n < length; n++) w *= hide[x]!;
      quiet[k] = quiet[k]! + w;
      both[k] = both[k]! + w * home[x]!;
    });
  }
  return { quiet, both, atHome };
}

/** Posterior of the rate on the fine rule, given that the cause is the only one and still at work; the prior where it cannot be. */
function weightsOf({ model, plan, grid, masks, mass }: Belief, i: number): Float64Array {
  const f = model.sets.start[1]! + i;
  const at = f * masks + 1;
  if (model.sets.maxCauses === 0 || !(mass[at]! > 0)) return plan.fine[i]!.weight;
  const from = grid.offset[at]!;
  const values = grid.values.subarray(from, from + grid.points[f]!);
  const total = values.reduce((sum, w) => sum + w, 0);
  return total > 0 ? values.map((w) => w / total) : plan.fine[i]!.weight;
}

/** The same for `unlisted`; starts at home count as in one setup. */
function unlistedProof({ unlisted }: Belief, key: string, n: number, use: readonly Use[]): Proof["unlisted"] {
  const starts = use.reduce((sum, { starts }) => sum + starts, 0);
  const here = unlistedPredictive(unlisted, key);
  const home = unlistedPredictive(unlisted, use[0]?.key ?? key);
  const quiet = here([0, n]);
  return {
    quiet,
    returns: Math.max(0, quiet - here([0, n + starts])),
    returnsNow: 1 - home([0, starts]),
  };
}

/** Days at the owner's, and starts a day, that comebacks are counted over (project model, section 10). */
const DAYS = 30;
const PER_DAY = 1;

/** The owner's own use: parts as now fitted, settings and outside causes as they came in. */
export function ownersUse({ belief, place }: State): Use[] {
  const { model } = belief;
  const intake = intakeSetup(model);
  const setup = { in: OWN, fit: place.setup.fit, guest: {}, settings: intake.settings };
  const minutes = startConditions(model);
  return [
    {
      exposure: exposuresOf(model, setup, minutes),
      key: setupKey(setup, minutes, place.repairs, model),
      starts: PER_DAY * DAYS,
    },
  ];
}
