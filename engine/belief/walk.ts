/**
 * One seeded walk through the outcomes of n starts: each drawn from the exact predictive chances given those before it.
 */
import { seededUniform } from "../numeric/random.js";
import type { Belief } from "./belief.js";
import { lower, outcomeTable } from "./counts.js";
import { groupsOf, MomentStore, totalMoment } from "./moments.js";
import { addStarts, logUnlisted } from "./unlisted.js";

export interface Walk {
  /** counts of the outcomes; length S + 1 */
  counts: Uint16Array;
  /** ln P(this sequence | record) */
  logChance: number;
}

export function walkOnce(belief: Belief, exposure: Float64Array, key: string, n: number, seed: number): Walk {
  const { stages } = belief.model;
  const uniform = seededUniform(seed);
  const store = new MomentStore(belief, n);
  const groups = groupsOf(belief).map((group) => {
    const { shown, values } = store.of(group, exposure);
    return { members: shown.length, values, table: outcomeTable(stages, shown) };
  });
  let { unlisted } = belief;
  const logBefore = logUnlisted(unlisted);
  let unlistedMass = belief.unlistedMass;
  const counts = new Uint16Array(stages.outcomes);
  let total = 1;
  for (let left = n; left > 0; left--) {
    const after = Array.from({ length: stages.outcomes }, (_, o) => withOutcome(o));
    const chances = after.map((x) => x.chance);
    const sum = chances.reduce((s, p) => s + p, 0);
    const outcome = pick(chances, uniform() * sum);
    ({ unlisted, unlistedMass } = after[outcome]!);
    groups.forEach((g, k) => (groups[k] = { ...g, values: after[outcome]!.values[k]! }));
    counts[outcome] = counts[outcome]! + 1;
    total = chances[outcome]!;

    function withOutcome(o: number) {
      const wanted = new Uint8Array(stages.outcomes);
      wanted[o] = 1;
      const next = addStarts(unlisted, key, [{ wanted, n: 1 }], 1);
      const mass = belief.unlistedMass * Math.exp(logUnlisted(next) - logBefore);
      const values = groups.map((g) => lower(g.values, left, g.members, g.table, o));
      // the mass of a group is the sum of its moments over what the remaining starts may do
      const chance = values.reduce((s, v, k) => s + totalMoment(v, left - 1, groups[k]!.members), mass);
      return { unlisted: next, unlistedMass: mass, values, chance };
    }
  }
  return { counts, logChance: Math.log(total) };
}

function pick(chances: readonly number[], at: number): number {
  let sum = 0;
  for (let k = 0; k < chances.length; k++) if ((sum += chances[k]!) > at) return k;
  return chances.length - 1;
}
