/**
 * Policies to hold the planner against: one that repairs without looking, one that asks for information by the minute,
 * a careless one, and the optimum's own.
 */
import { type Batch, type Policy } from "./evaluate.js";
import type { Solution } from "./solve.js";
import {
  costOf,
  dot,
  movesOf,
  RELEASE,
  resultsOf,
  RETURN,
  type Move,
  type Node,
  type World,
} from "./world.js";

const alone = (move: Move): Batch => ({ moves: [move], stopEarly: false });

export const optimal =
  (solution: Solution): Policy =>
  (node) =>
    alone(solution.best(node).move);

/** The cheaper of the two ends. */
const end = (world: World, node: Node): Move =>
  dot(node.belief, world.comeback) <= world.returned ? RELEASE : RETURN;

export const giveBack: Policy = () => alone(RETURN);

/** Chance to cure by cost, without a look, while a repair takes more off the price of the end than it costs. */
export const repairsOnly =
  (world: World): Policy =>
  (node) =>
    alone(worthwhileRepair(world, node) ?? end(world, node));

function worthwhileRepair(world: World, node: Node): Move | null {
  const now = costOf(world, node, end(world, node));
  let [best, most] = [null as Move | null, 0];
  world.repairs.forEach(({ cost, cures }, repair) => {
    const after = resultsOf(world, node, { kind: "repair", repair })[0]!.node;
    const gain = now - cost - costOf(world, after, end(world, after));
    const rate = gain > 0 ? dot(node.belief, cures) / cost : 0;
    if (rate > most) [best, most] = [{ kind: "repair", repair }, rate];
  });
  return best;
}

/** Tests by bits for their cost until one thing is nearly sure; then repairs, each tried twice. */
export const informationFirst =
  (world: World, sure = 0.8): Policy =>
  (node) => {
    if (Math.max(...node.belief) < sure) {
      const test = mostTelling(world, node);
      if (test) return alone(test);
    }
    const repair = worthwhileRepair(world, node);
    if (!repair) return alone(end(world, node));
    const start: Move = { kind: "start", setting: node.setting, condition: 0 };
    return { moves: [repair, start, start], stopEarly: true };
  };

/** The test with most bits for its cost; null where none tells a hundredth of a bit. */
export function mostTelling(world: World, node: Node): Move | null {
  let [best, most] = [null as Move | null, 0];
  for (const move of movesOf(world, node)) {
    if (move.kind !== "finding" && move.kind !== "start") continue;
    const bits = information(world, node, move);
    const rate = bits < 0.01 ? 0 : bits / costOf(world, node, move);
    if (rate > most) [best, most] = [move, rate];
  }
  return best;
}

/** Bits that a test is expected to tell of what is at work. */
export const information = (world: World, node: Node, move: Move): number =>
  resultsOf(world, node, move).reduce(
    (bits, { chance, node: after }) => bits - chance * entropy(after.belief),
    entropy(node.belief),
  );

const entropy = (chances: readonly number[]): number =>
  chances.reduce((bits, p) => (p > 0 ? bits - p * Math.log2(p) : bits), 0);

/** One clean start clears it, one repair convicts: the dearest repair first, released whatever is seen. */
export const careless =
  (world: World): Policy =>
  (node, record) => {
    const made = record.filter((entry) => entry.kind === "repair").length;
    if (made > 0) return alone(RELEASE);
    const dearest = world.repairs.reduce((top, r, k) => (r.cost > world.repairs[top]!.cost ? k : top), 0);
    return {
      moves: [
        { kind: "repair", repair: dearest },
        { kind: "start", setting: node.setting, condition: 0 },
      ],
      stopEarly: false,
    };
  };
