/**
 * Does tuning save minutes? Tickets left out, as machines worked with the catalog before and with what the others teach.
 *
 * Tickets are chosen first and then worked one at a time, so that a caller can show progress, stop, or share them out. Which
 * are chosen, and the luck that each meets, depend on the tickets alone. Apart from the rest of tuning, which needs no planner.
 */
import type { Catalog } from "../../catalog/schema.js";
import { pairSeed, workedTwice, type Confirmed } from "../../practice/paired.js";
import type { FitOptions } from "../fit/fit.js";
import type { Gathered, Kept } from "../gather.js";
import type { Space } from "../space.js";
import { leftOut } from "../tune.js";
import { STRATEGY, type PairRow } from "./saved.js";

/** Tickets left out: plain data, which a worker can be told. */
export interface TicketsLeftOut {
  before: Catalog;
  /** what the other tickets teach, once for every part that was left out */
  taught: Catalog[];
  tickets: LeftOutTicket[];
}

export interface LeftOutTicket extends Confirmed {
  /** which of the catalogs was taught without it */
  taught: number;
  seed: number;
}

/** @param wanted  how many tickets, at most */
export function ticketsLeftOut(gathered: Gathered, wanted: number, options: FitOptions = {}): TicketsLeftOut {
  const { space } = gathered;
  const parts = [...leftOut(gathered, options)];
  const chosen = parts
    .flatMap(({ tickets }, taught) => tickets.map((kept) => ({ taught, kept })))
    .sort((x, y) => x.kept.hash - y.kept.hash)
    .slice(0, wanted);
  return {
    before: space.catalog,
    taught: parts.map(({ catalog }) => catalog),
    tickets: chosen.map(({ taught, kept }) => ({
      ...confirmedOf(kept, space),
      taught,
      seed: pairSeed(kept.hash),
    })),
  };
}

function confirmedOf({ pattern, cause }: Kept, space: Space): Confirmed {
  const { starts, stops, events } = pattern;
  const told = events && events.map((e) => space.events[e]!);
  return { cause: space.causes[cause]!, starts, stops, events: told };
}

/** @param from, stride  tickets from, from + stride, …: every so manieth, for one of several that share the work */
export function* pairRows(
  { before, taught, tickets }: TicketsLeftOut,
  from = 0,
  stride = 1,
): Generator<PairRow> {
  for (let k = from; k < tickets.length; k += stride) {
    const ticket = tickets[k]!;
    const catalogs = [before, taught[ticket.taught]!] as const;
    yield { ticket: k, pair: workedTwice(catalogs, ticket, STRATEGY, ticket.seed) };
  }
}
