/** What tuning saved, once machines were worked before and after it: apart from their working, which needs the planner. */
import { pairedFigures, type Pair, type PairedFigures } from "../../practice/pairedFigures.js";

/** What the program advises, done to the letter. */
export const STRATEGY = "planner";

/** A ticket by its place among those chosen; null where a usual machine cannot have its cause. */
export interface PairRow {
  ticket: number;
  pair: Pair | null;
}

export interface MinutesView extends PairedFigures {
  /** tickets chosen whose cause a usual machine cannot have */
  skipped: number;
}

/**
 * @param rows  in any order
 * @returns null where fewer than two machines could be made
 */
export function minutesOf(rows: readonly PairRow[]): MinutesView | null {
  const sorted = [...rows].sort((x, y) => x.ticket - y.ticket); // a sum has the same last digit in one order alone
  const pairs = sorted.flatMap(({ pair }) => (pair ? [pair] : []));
  if (pairs.length < 2) return null;
  return { ...pairedFigures(STRATEGY, pairs), skipped: rows.length - pairs.length };
}
