/** From the rows of a race to what its charts and tables show. */
import { bin } from "d3";
import type { Row } from "../../engine/practice/race.js";
import type { Worked } from "../../engine/practice/work.js";

export type Measure = "total" | "minutes" | "money" | "wrongParts";

export interface RaceBar {
  strategy: string;
  from: number;
  to: number;
  /** share of the strategy's tickets */
  share: number;
  /** what came to more than `to` is counted here too */
  orMore: boolean;
}

const BINS = 24;
/** The dearest few tickets would stretch the scale beyond all others: they are counted in the last bar. */
const SHOWN = 0.99;

/** How often each strategy's tickets came to how much; every strategy in the same bars. */
export function raceBars(rows: readonly Row[], strategies: readonly string[], measure: Measure): RaceBar[] {
  const values = (s: number) => rows.map((row) => row.worked[s]![measure]);
  const all = strategies.flatMap((_, s) => values(s)).sort((x, y) => x - y);
  if (all.length === 0) return [];
  const last = Math.max(all[Math.ceil(SHOWN * (all.length - 1))]!, 1);
  const isCount = measure === "wrongParts";
  const edges = isCount
    ? Array.from({ length: Math.ceil(last) + 2 }, (_, k) => k - 0.5)
    : Array.from({ length: BINS + 1 }, (_, k) => (k * last) / BINS);
  const [least, most] = [edges[0]!, edges.at(-1)!];
  const binned = bin<number, number>().domain([least, most]).thresholds(edges.slice(1, -1));
  return strategies.flatMap((strategy, s) =>
    binned(values(s).map((x) => Math.min(x, most))).map((one) => ({
      strategy,
      from: one.x0!,
      to: one.x1!,
      share: one.length / rows.length,
      orMore: one.x1 === most && values(s).some((x) => x > most),
    })),
  );
}

export const ENDINGS = ["stayed away", "came back", "given back", "over the budget", "unresolved"] as const;
export type EndingName = (typeof ENDINGS)[number];

export interface RaceEnding {
  strategy: string;
  ending: EndingName;
  share: number;
}

const endingOf = ({ outcome, comeback }: Worked): EndingName =>
  outcome === "released"
    ? comeback
      ? "came back"
      : "stayed away"
    : outcome === "returned"
      ? "given back"
      : outcome === "over budget"
        ? "over the budget"
        : "unresolved";

/** How each strategy's tickets ended. */
export const raceEndings = (rows: readonly Row[], strategies: readonly string[]): RaceEnding[] =>
  strategies.flatMap((strategy, s) =>
    ENDINGS.map((ending) => ({
      strategy,
      ending,
      share: rows.filter((row) => endingOf(row.worked[s]!) === ending).length / Math.max(1, rows.length),
    })),
  );

export const meanOf = (rows: readonly Row[], s: number, measure: Measure): number =>
  rows.reduce((sum, row) => sum + row.worked[s]![measure], 0) / Math.max(1, rows.length);
