/**
 * Chances of the next start's outcomes in a setup.
 */
import type { Belief } from "./belief.js";
import { addChances, countSpace, lower, unlistedLeaves } from "./counts.js";
import { setTable } from "./outcomes.js";
import { groupsOf, mainGroupsOf, MomentStore, totalMoment } from "./moments.js";
import { addStarts, logUnlisted } from "./unlisted.js";

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
    const { shown, values } = store.make(group, exposure);
    addChances(chances, 0, 1, values, shown.length, belief.model.table(shown), 0, stages.outcomes);
  }
  return chances;
}

/**
 * P(the first j starts all stop before a stage), j = 0 … m, rates integrated out.
 * @param store  moments of m starts, which other stages have use for
 * @param reach  index of the outcome to be reached
 */
export function missChances(
  store: MomentStore,
  exposure: Float64Array,
  key: string,
  reach: number,
): Float64Array {
  const { belief, n: m } = store;
  const { stages } = belief.model;
  const wanted = Uint8Array.from({ length: stages.outcomes }, (_, o) => Number(o < reach));
  const before = logUnlisted(belief.unlisted);
  const chances = Float64Array.from({ length: m + 1 }, (_, j) =>
    j === 0 || reach === 0
      ? Number(j === 0) * belief.unlistedMass
      : belief.unlistedMass *
        Math.exp(logUnlisted(addStarts(belief.unlisted, key, [{ wanted, n: j }], 1)) - before),
  );
  for (const group of mainGroupsOf(belief)) {
    const { shown, values } = store.of(group, exposure);
    const table = setTable(stages, wanted, shown);
    let left = values;
    for (let j = 0; j <= m; j++) {
      chances[j] = chances[j]! + totalMoment(left, m - j, shown.length);
      if (j < m) left = lower(left, m - j, shown.length, table, 0);
    }
  }
  return chances;
}
