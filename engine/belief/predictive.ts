/**
 * Chances of the next start's outcomes in a setup.
 */
import type { Belief } from "./belief.js";
import { countSpace, leafChances, outcomeTable, unlistedLeaves } from "./counts.js";
import { groupsOf, MomentStore } from "./moments.js";

/**
 * P(outcome of the next start | record), rates integrated out; length S + 1, adds up to 1.
 * @param exposure  of each cause in the setup; length C
 * @param key       what `unlisted` takes for the setup
 */
export function predictive(belief: Belief, exposure: Float64Array, key: string): Float64Array {
  const { stages } = belief.model;
  const space = countSpace(1, stages.outcomes);
  const store = new MomentStore(belief, 1);
  const chances = unlistedLeaves(belief.unlisted, belief.unlistedMass, key, space);
  for (const group of groupsOf(belief)) {
    const moments = store.of(group, exposure);
    const leaves = leafChances(moments, outcomeTable(stages, moments.shown), space);
    for (let o = 0; o < leaves.length; o++) chances[o] = chances[o]! + leaves[o]!;
  }
  return chances;
}
