/**
 * What the columns and words of a table with these headings meant last time; how a file is written is asked of each file anew.
 * Kept by this browser; without it the proposal stands.
 */
import type { z } from "zod";
import { Matching } from "../../engine/learn/table/matching.js";

/** Of a whole matching, as it was kept once, the rest is passed over. */
const Remembered = Matching.pick({ columns: true, stopsAt: true, words: true }).strip();
export type Remembered = z.infer<typeof Remembered>;

const keyOf = (heading: readonly string[]) => `fitful matching ${JSON.stringify(heading)}`;

export function remembered(heading: readonly string[]): Remembered | null {
  try {
    const text = localStorage.getItem(keyOf(heading));
    return text === null ? null : (Remembered.safeParse(JSON.parse(text)).data ?? null);
  } catch {
    return null; // a private window may forbid it
  }
}

export function remember(heading: readonly string[], matching: Remembered): void {
  try {
    localStorage.setItem(keyOf(heading), JSON.stringify(Remembered.parse(matching)));
  } catch {
    /* it is asked again next time */
  }
}
