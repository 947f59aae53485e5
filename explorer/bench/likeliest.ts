/** The outcomes of the next start that are worth being ready for. Pure. */
import type { OutcomeChance } from "../../engine/weighing.js";

/** So many at most, until so much of the chance is covered. */
const MOST = 3;
const NEARLY_ALL = 0.95;

/** The likeliest first. */
export function likeliest(chances: readonly OutcomeChance[]): string[] {
  const leading = [...chances].sort((x, y) => y.p - x.p).slice(0, MOST);
  let left = NEARLY_ALL;
  const enough = leading.findIndex(({ p }) => (left -= p) <= 0);
  return leading.slice(0, enough < 0 ? MOST : enough + 1).map(({ outcome }) => outcome);
}
