/**
 * What the columns and words of a table with these headings meant last time; how a file is written is asked of each file anew.
 * Kept by this browser; without it the proposal stands.
 */
import type { z } from "zod";
import { keepHere, keptHere } from "../kept-here.js";
import { Matching } from "../../engine/learn/table/matching.js";

/** Of a whole matching, as it was kept once, the rest is passed over. */
const Remembered = Matching.pick({ columns: true, stopsAt: true, words: true }).strip();
export type Remembered = z.infer<typeof Remembered>;

const keyOf = (heading: readonly string[]) => `fitful matching ${JSON.stringify(heading)}`;

export function remembered(heading: readonly string[]): Remembered | null {
  try {
    return Remembered.safeParse(JSON.parse(keptHere(keyOf(heading)) ?? "null")).data ?? null;
  } catch {
    return null; // no JSON
  }
}

export function remember(heading: readonly string[], matching: Remembered): void {
  keepHere(keyOf(heading), JSON.stringify(Remembered.parse(matching)));
}
