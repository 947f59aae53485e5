/**
 * A strategy: what a technician does next, knowing what a technician knows.
 */
import type { State } from "../belief/fold.js";
import type { Candidate } from "../plan/candidates.js";
import type { Ticket } from "../ticket/schema.js";
import type { Prices } from "./prices.js";
import type { Shop } from "./shop.js";

/** What is known at the bench; never the truth. */
export interface Known {
  /** the record so far; its causes and chances are the technician's catalog's */
  ticket: Ticket;
  /** the same record weighed */
  state: State;
  /** labour so far */
  minutes: number;
  /** money for parts and materials so far */
  money: number;
  /** how the last action's own starts went; nothing before the first */
  seen: { clean: number; stops: number };
  prices: Prices;
  shop: Shop;
}

export type Action = {
  kind: "do";
  candidate: Candidate;
  /** starts; 0 makes the change or the repair and no start. A look takes none */
  n: number;
  /** no further start after the first that stops */
  stopEarly: boolean;
};

export interface Ending {
  kind: "release" | "return";
  /** what is held to have been it: ids of causes or of parts, `unlisted`, or nothing */
  named: readonly string[];
}

/** Asks for one action after another, is told after each what is known, and comes to an end. */
export type Working = Generator<Action, Ending, Known>;

export interface Strategy {
  id: string;
  name: string;
  work(known: Known): Working;
}

/** A strategy that asks itself the same question after every action. */
export const deciding = (decision: (known: Known) => Action | Ending): Strategy["work"] =>
  function* (known) {
    for (;;) {
      const next = decision(known);
      if (next.kind !== "do") return next;
      known = yield next;
    }
  };
