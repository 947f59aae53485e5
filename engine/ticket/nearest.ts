/** The known id nearest to what was written, by edits (Levenshtein 1966), or null where none is near. */
import { closest, distance } from "fastest-levenshtein";

const LONGEST = 64;

export function nearest(written: string, known: readonly string[]): string | null {
  if (known.length === 0) return null;
  const text = written.slice(0, LONGEST).toLowerCase();
  const lower = known.map((id) => id.toLowerCase());
  const best = closest(text, lower);
  return distance(text, best) <= Math.max(2, Math.floor(text.length / 2))
    ? known[lower.indexOf(best)]!
    : null;
}
