/**
 * Ends of the bracket before anything is searched: linear in the chances of z, and good for every state.
 */
import { dot, type World } from "./world.js";

/** The least of several linear functions of the chances of z. */
export const least = (vectors: readonly number[][], belief: number[]): number => {
  let low = Infinity;
  for (const vector of vectors) low = Math.min(low, dot(vector, belief));
  return low;
};

/**
 * No state can cost less: each move's cost, and after it the best move for each z and thing seen. Looks may be repeated
 * and every arrangement is near, which can only cost less; from 0 upwards every round is such a bound.
 */
export function informedBound(world: World): number[][] {
  const zs = world.prior.map((_, z) => z);
  const ends = [world.comeback, zs.map(() => world.returned)];
  const looks = world.findings.map(({ cost, chance }) => ({ cost, chance }));
  const starts = world.starts.flatMap((by) => by.map((chance, c) => ({ cost: world.startCost[c]!, chance })));
  const tests = [...looks, ...starts];
  let vectors = [...tests, ...world.repairs].map(() => zs.map(() => 0));
  for (let round = 0; round < 100; round++) {
    const all = [...vectors, ...ends];
    const best = zs.map((z) => Math.min(...all.map((v) => v[z]!)));
    const mixed = ({ cost, cures }: World["repairs"][number], z: number) =>
      cost + Math.min(...all.map((v) => cures[z]! * v[0]! + (1 - cures[z]!) * v[z]!));
    vectors = [
      ...tests.map(({ cost }) => zs.map((z) => cost + best[z]!)),
      ...world.repairs.map((repair) => zs.map((z) => mixed(repair, z))),
    ];
  }
  return [...vectors, ...ends];
}

/** Ways to go on that look at nothing: up to three repairs in a row, then one of the two ends. */
export function blindWays(world: World): number[][] {
  const ends = [world.comeback, world.prior.map(() => world.returned)];
  const before = ({ cost, cures }: World["repairs"][number], after: number[]) =>
    after.map((value, z) => cost + cures[z]! * after[0]! + (1 - cures[z]!) * value);
  let last = ends;
  const all = [...ends];
  for (let length = 1; length <= 3; length++) {
    last = world.repairs.flatMap((repair) => last.map((after) => before(repair, after)));
    all.push(...last);
  }
  return all.filter((v) => !all.some((w) => w !== v && w.every((value, z) => value <= v[z]! - 1e-12)));
}
