/**
 * A policy held against the optimum of a small problem: the ratio of their expected costs, and where they part.
 */
import type { Entry, Ticket } from "../../../engine/ticket/schema.js";
import { evaluate, type Batch, type Policy, type Walk } from "./evaluate.js";
import type { Problem } from "./problem.js";
import { entriesOf } from "./record.js";
import { solve, type Solution } from "./solve.js";
import { costOf, isClean, keyOf, resultsOf, type Move, type Node, type World } from "./world.js";

export interface Comparison {
  seed: number;
  /** the optimum lies between these */
  low: number;
  high: number;
  cost: number;
  /** cost of the policy by the lower end: its ratio to the optimum is at most this */
  ratio: number;
  cut: number;
  asked: number;
  states: number;
}

export function compare(
  problem: Problem,
  policy: Policy,
  solution: Solution = solve(problem.world),
  least = 1e-4,
): Comparison {
  const { low, high, states } = solution;
  const { cost, cut, asked } = evaluate(problem, policy, { least });
  return { seed: problem.seed, low, high, cost, ratio: cost / low, cut, asked, states };
}

export interface Parting {
  /** what had been done and seen */
  path: string;
  /** chance to come there, and what the policy's moves cost there beyond the optimum's: their product is what is lost */
  chance: number;
  regret: number;
  belief: number[];
  policy: string;
  optimum: string;
}

/** The states in which a policy loses most by what it does, the dearest first. */
export function partings(problem: Problem, policy: Policy, solution: Solution, most = 3): Parting[] {
  const { world, ticket } = problem;
  const found = new Map<string, Parting>();
  const visit = ({ node, record, chance }: Walk, batch: Batch) => {
    const { move, high } = solution.best(node);
    const key = keyOf(node);
    const known = found.get(key);
    if (known) known.chance += chance;
    else
      found.set(key, {
        path: record.map(entryWords).join("; "),
        chance,
        regret: costOfBatch(world, node, batch, 0, solution) - high,
        belief: node.belief.map((p) => Math.round(p * 1000) / 1000),
        policy: batch.moves.map((made) => moveWords(ticket, node, made)).join("; "),
        optimum: moveWords(ticket, node, move),
      });
  };
  evaluate(problem, policy, { least: 1e-4, visit });
  return [...found.values()].sort((x, y) => y.chance * y.regret - x.chance * x.regret).slice(0, most);
}

/** Expected cost of the moves from the k-th on, and of the optimum after them. */
function costOfBatch(world: World, node: Node, batch: Batch, k: number, solution: Solution): number {
  const move = batch.moves[k];
  if (!move) return solution.best(node).high;
  return resultsOf(world, node, move).reduce(
    (sum, { chance, seen, node: after }) => {
      const stopped = batch.stopEarly && move.kind === "start" && !isClean(world, seen);
      return sum + chance * costOfBatch(world, after, batch, stopped ? Infinity : k + 1, solution);
    },
    costOf(world, node, move),
  );
}

function entryWords(entry: Entry): string {
  switch (entry.kind) {
    case "finding":
      return `${entry.finding} ${entry.value}`;
    case "starts":
      return `start ${Object.values(entry.conditions ?? {}).join()} ${String(entry.trials[0]!.outcome)}`;
    case "change":
      return `path ${Object.values(entry.settings ?? {}).join()}`;
    case "repair":
      return entry.repair;
    default:
      return entry.kind;
  }
}

/** In the words of the entries that a move would leave. */
function moveWords(ticket: Ticket, node: Node, move: Move): string {
  const entries = entriesOf(ticket, node, move, 0);
  return entries.length === 0 ? move.kind : entries.map((e) => entryWords(e).replace(/ \w+$/, "")).join("; ");
}
