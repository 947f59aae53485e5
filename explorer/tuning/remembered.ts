/** How a table with these headings was matched last time. Kept by this browser; without it the proposal stands. */
import { Matching } from "../../engine/learn/table/matching.js";

const keyOf = (heading: readonly string[]) => `fitful matching ${JSON.stringify(heading)}`;

export function rememberedMatching(heading: readonly string[]): Matching | null {
  try {
    const text = localStorage.getItem(keyOf(heading));
    return text === null ? null : (Matching.safeParse(JSON.parse(text)).data ?? null);
  } catch {
    return null; // a private window may forbid it
  }
}

export function rememberMatching(heading: readonly string[], matching: Matching): void {
  try {
    localStorage.setItem(keyOf(heading), JSON.stringify(matching));
  } catch {
    /* it is asked again next time */
  }
}
