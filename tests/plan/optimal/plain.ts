/**
 * The same optimum by writing out everything, for worlds small enough: the bracket's own check.
 */
import { costOf, dot, movesOf, resultsOf, startNode, type Node, type World } from "./world.js";

/** What a state is worth when no move is left: an end, which is dear, or all known and mended at once, which is cheap. */
export type Horizon = "ends" | "known";

/** Least expected cost with at most `moves` moves before an end; "known" can only be too low, "ends" only too high. */
export function plainOptimum(
  world: World,
  moves: number,
  horizon: Horizon,
  node: Node = startNode(world),
): number {
  const ends = Math.min(costOf(world, node, { kind: "release" }), costOf(world, node, { kind: "return" }));
  if (moves === 0) return horizon === "ends" ? ends : dot(node.belief, knownCosts(world));
  let least = ends;
  for (const move of movesOf(world, node)) {
    if (move.kind === "release" || move.kind === "return") continue;
    let cost = costOf(world, node, move);
    for (const { chance, node: after } of resultsOf(world, node, move)) {
      if (cost > least) break;
      cost += chance * plainOptimum(world, moves - 1, horizon, after);
    }
    least = Math.min(least, cost);
  }
  return least;
}

/** Nobody who knows z, and whether each repair has worked, could do better. */
const knownCosts = (world: World): number[] =>
  world.prior.map((_, z) => {
    const mended = world.repairs.map(({ cost, cures }) => (cures[z]! > 0 ? cost / cures[z]! : Infinity));
    return z === 0 ? 0 : Math.min(world.comeback[z]!, world.returned, ...mended);
  });
