/** `fitful tune --minutes N`: tickets left out, as machines worked with the catalog before and after it was tuned. */
import type { Catalog } from "../catalog/schema.js";
import type { Gathered, Kept } from "../learn/gather.js";
import { leftOut, type TuneOptions } from "../learn/tune.js";
import { pairedFigures, pairSeed, workedTwice, type Pair, type PairedFigures } from "../practice/paired.js";

/** What the program advises, done to the letter. */
const STRATEGY = "planner";

export interface MinutesView extends PairedFigures {
  /** tickets chosen whose cause a usual machine cannot have */
  skipped: number;
}

/**
 * @param wanted  how many tickets, at most; which of them depends on the tickets alone
 * @returns null where no two tickets can be left out
 */
export function minutesOf(gathered: Gathered, wanted: number, options: TuneOptions): MinutesView | null {
  const parts = [...leftOut(gathered, options)];
  const chosen = parts
    .flatMap(({ catalog, tickets }) => tickets.map((ticket) => ({ catalog, ticket })))
    .sort((x, y) => x.ticket.hash - y.ticket.hash)
    .slice(0, wanted);
  const pairs: Pair[] = [];
  chosen.forEach(({ catalog, ticket }, k) => {
    const pair = worked([gathered.space.catalog, catalog], ticket, gathered);
    if (pair) pairs.push(pair);
    options.progress?.((k + 1) / chosen.length);
  });
  if (pairs.length < 2) return null;
  return { ...pairedFigures(STRATEGY, pairs), skipped: chosen.length - pairs.length };
}

function worked(catalogs: readonly [Catalog, Catalog], { pattern, cause, hash }: Kept, { space }: Gathered) {
  const { starts, stops, events } = pattern;
  const told = events && events.map((e) => space.events[e]!);
  return workedTwice(
    catalogs,
    { cause: space.causes[cause]!, starts, stops, events: told },
    STRATEGY,
    pairSeed(hash),
  );
}
