/**
 * Swap the likeliest part first: parts in the order of their prior chance of being bad, each exchanged and left exchanged,
 * until three starts in a row are clean.
 */
import type { Known, Strategy, Working } from "../strategy.js";
import { ownParts, spareFor, tryIt, type Own } from "./moves.js";

const CLEAN = 3;
const REPRODUCE = 6;

function* swap(known: Known): Working {
  known = yield tryIt(REPRODUCE);
  if (known.seen.stops === 0) return { kind: "release", named: [] };
  const chance = chances(known);
  const parts = ownParts(known).sort((x, y) => chance(y) - chance(x));
  for (const own of parts) {
    const fit = spareFor(known, own);
    if (!fit) continue;
    known = yield tryIt(CLEAN, { fit });
    if (known.seen.stops === 0) return { kind: "release", named: [own.part.id] };
  }
  return { kind: "return", named: [] };
}

/** Prior odds of the causes tied to a part. */
function chances({ state }: Known): (own: Own) => number {
  const { causes } = state.belief.model;
  return ({ part }) =>
    causes.reduce((sum, c) => (c.part === part.id ? sum + c.chance / (1 - c.chance) : sum), 0);
}

export const likeliest: Strategy = { id: "likeliest", name: "Swap the likeliest part first", work: swap };
