/**
 * Expected cost of a policy in a small world, exactly: its walks are followed batch by batch with the chances of all they may
 * see, and those that come to the same state go on as one.
 */
import type { Entry } from "../../../engine/ticket/schema.js";
import type { Problem } from "./problem.js";
import { entriesOf } from "./record.js";
import {
  costOf,
  isClean,
  keyOf,
  movesOf,
  resultsOf,
  RETURN,
  startNode,
  type Move,
  type Node,
} from "./world.js";

/** Moves made one after another; `stopEarly`: none after a start that was not clean. */
export interface Batch {
  moves: Move[];
  stopEarly: boolean;
}

/** What to do next: may ask the state, or the record that led to it, but nothing else. */
export type Policy = (node: Node, record: readonly Entry[]) => Batch;

export interface Evaluation {
  cost: number;
  /** chance of walks that were cut off; each is counted as given back on the spot */
  cut: number;
  /** states in which the policy was asked */
  asked: number;
}

/** Walks less likely than this are cut off, and every walk after that many batches. */
const LEAST = 1e-6;
const LONGEST = 60;

export interface Walk {
  node: Node;
  /** of the first way there that was found */
  record: Entry[];
  chance: number;
}

type Layer = Map<string, Walk>;

/**
 * @param visit  told of every state that the policy is asked in, with its chance; a state may come at several lengths
 * @throws {Error} where the policy makes a move that the world does not offer
 */
export function evaluate(
  { ticket, world }: Problem,
  policy: Policy,
  { least = LEAST, visit }: { least?: number; visit?: (walk: Walk, batch: Batch) => void } = {},
): Evaluation {
  const batches = new Map<string, Batch>();
  const total: Evaluation = { cost: 0, cut: 0, asked: 0 };

  function ask(key: string, walk: Walk): Batch {
    let batch = batches.get(key);
    if (!batch) {
      batches.set(key, (batch = policy(walk.node, walk.record)));
      total.asked++;
    }
    return batch;
  }

  function follow({ node, record, chance }: Walk, batch: Batch, k: number, next: Layer): void {
    const move = batch.moves[k];
    if (!move) return join(next, { node, record, chance });
    mustBeOffered(move, movesOf(world, node));
    total.cost += chance * costOf(world, node, move);
    for (const result of resultsOf(world, node, move)) {
      const after = {
        node: result.node,
        record: [...record, ...entriesOf(ticket, node, move, result.seen)],
        chance: chance * result.chance,
      };
      const stopped = batch.stopEarly && move.kind === "start" && !isClean(world, result.seen);
      if (stopped) join(next, after);
      else follow(after, batch, k + 1, next);
    }
  }

  let layer: Layer = new Map();
  join(layer, { node: startNode(world), record: ticket.entries, chance: 1 });
  for (let length = 0; layer.size > 0; length++) {
    const next: Layer = new Map();
    for (const [key, walk] of layer)
      if (walk.chance < least || length === LONGEST) {
        total.cut += walk.chance;
        total.cost += walk.chance * costOf(world, walk.node, RETURN);
      } else {
        const batch = ask(key, walk);
        visit?.(walk, batch);
        follow(walk, batch, 0, next);
      }
    layer = next;
  }
  return total;
}

function join(layer: Layer, walk: Walk): void {
  const key = keyOf(walk.node);
  const known = layer.get(key);
  if (known) known.chance += walk.chance;
  else layer.set(key, walk);
}

function mustBeOffered(move: Move, offered: readonly Move[]): void {
  const wanted = JSON.stringify(move);
  if (!offered.some((one) => JSON.stringify(one) === wanted))
    throw new Error(`policy: found ${wanted}, expected one of ${JSON.stringify(offered)}`);
}
