/**
 * A small world to plan in, in plain arrays: at most one cause, every chance known. It shares no code with the engine.
 *
 * z = 0: nothing is at work (never was, or cured); z ≥ 1: cause z is. With known chances what was seen so far is held whole
 * by the chances of z, so that they are the state; beside them stands what decides which moves there are.
 */
export interface World {
  /** P(z) as the machine comes in */
  prior: number[];
  /** `chance[z][v]`: chance of value v */
  findings: { cost: number; part: number; chance: number[][] }[];
  /** `starts[setting][condition][z][outcome]`: its chance; the last outcome is clean */
  starts: number[][][][];
  /** of one start in each condition */
  startCost: number[];
  /** of going to another setting; the machine leaves the shop in the one it came in, 0 */
  changeCost: number;
  /** `cures[z]`: chance that it takes cause z away */
  repairs: { cost: number; part: number; cures: number[] }[];
  /** expected cost of a comeback when released with z at work */
  comeback: number[];
  /** of giving the machine back as it is */
  returned: number;
}

export interface Node {
  /** P(z | record) */
  belief: number[];
  /** bit f: finding f holds already */
  held: number;
  setting: number;
  /** bit c: a start in condition c has stopped */
  told: number;
}

export type Move =
  | { kind: "finding"; finding: number }
  | { kind: "start"; setting: number; condition: number }
  | { kind: "repair"; repair: number }
  | { kind: "release" }
  | { kind: "return" };

/** What a move may lead to; none where it ends the ticket. */
export interface Result {
  chance: number;
  /** value of the finding, outcome of the start; 0 for a repair */
  seen: number;
  node: Node;
}

export const RELEASE: Move = { kind: "release" };
export const RETURN: Move = { kind: "return" };
/** The condition that a start has unless asked. */
const DEFAULT = 0;

export const startNode = (world: World): Node => ({ belief: world.prior, held: 0, setting: 0, told: 0 });

/** Two nodes with the same key have the same future. Twelve digits: sums in another order differ in the sixteenth. */
export const keyOf = ({ belief, held, setting, told }: Node): string =>
  `${belief.map((p) => Math.round(p * 1e12)).join(" ")} ${held} ${setting} ${told}`;

/**
 * Every move from here: looks that do not hold already; starts as it is in any condition; starts in another setting in
 * the default condition or in one in which a start has stopped; repairs; the two ways to end.
 */
export function movesOf(world: World, node: Node): Move[] {
  const moves: Move[] = [];
  world.findings.forEach((_, finding) => {
    if (!(node.held & (1 << finding))) moves.push({ kind: "finding", finding });
  });
  for (let setting = 0; setting < world.starts.length; setting++)
    for (let condition = 0; condition < world.startCost.length; condition++)
      if (setting === node.setting || condition === DEFAULT || node.told & (1 << condition))
        moves.push({ kind: "start", setting, condition });
  world.repairs.forEach((_, repair) => moves.push({ kind: "repair", repair }));
  return [...moves, RELEASE, RETURN];
}

/** What a move costs, in money, labour included. */
export function costOf(world: World, node: Node, move: Move): number {
  switch (move.kind) {
    case "finding":
      return world.findings[move.finding]!.cost;
    case "start":
      return world.startCost[move.condition]! + (move.setting === node.setting ? 0 : world.changeCost);
    case "repair":
      return world.repairs[move.repair]!.cost;
    case "release":
      return dot(node.belief, world.comeback) + homeCost(world, node);
    case "return":
      return world.returned + homeCost(world, node);
  }
}

export const homeCost = (world: World, { setting }: Node): number => (setting === 0 ? 0 : world.changeCost);

/** Where a move leads, each with its chance above 0. */
export function resultsOf(world: World, node: Node, move: Move): Result[] {
  switch (move.kind) {
    case "finding":
      return seen(node.belief, world.findings[move.finding]!.chance, () => ({
        ...node,
        held: node.held | (1 << move.finding),
      }));
    case "start": {
      const { setting, condition } = move;
      return seen(node.belief, world.starts[setting]![condition]!, (outcome) => ({
        ...node,
        setting,
        told: isClean(world, outcome) ? node.told : node.told | (1 << condition),
      }));
    }
    case "repair":
      return [{ chance: 1, seen: 0, node: repaired(world, node, move.repair) }];
    case "release":
    case "return":
      return [];
  }
}

/** Bayes' rule for each thing that may be seen. */
function seen(belief: number[], chances: number[][], place: (seen: number) => Node): Result[] {
  const results: Result[] = [];
  for (let v = 0; v < chances[0]!.length; v++) {
    const joint = belief.map((p, z) => p * chances[z]![v]!);
    const chance = joint.reduce((sum, p) => sum + p, 0);
    if (chance > 0)
      results.push({ chance, seen: v, node: { ...place(v), belief: joint.map((p) => p / chance) } });
  }
  return results;
}

/** A repair frees for another look whatever sits on the part that was repaired. */
function repaired(world: World, node: Node, repair: number): Node {
  const { cures, part } = world.repairs[repair]!;
  const belief = node.belief.map((p, z) => p * (1 - cures[z]!));
  belief[0] = 1 - belief.slice(1).reduce((sum, p) => sum + p, 0);
  const freed = world.findings.reduce((mask, f, k) => (f.part === part ? mask | (1 << k) : mask), 0);
  return { ...node, belief, held: node.held & ~freed };
}

export const isClean = (world: World, outcome: number): boolean =>
  outcome === world.starts[0]![0]![0]!.length - 1;

export const dot = (x: readonly number[], y: readonly number[]): number => {
  let sum = 0;
  for (let k = 0; k < x.length; k++) sum += x[k]! * y[k]!;
  return sum;
};
