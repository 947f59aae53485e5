/**
 * A fixed checklist: repairs that cost nothing but minutes first, then parts, in common order and each left as it is then;
 * three clean starts in a row and it is handed over. Common practice, no source.
 */
import type { Known, Strategy, Working } from "../strategy.js";
import { asItCame, mend, ownParts, repairs, spareFor, tryIt } from "./moves.js";

const CLEAN = 3;
const REPRODUCE = 6;

function* work(known: Known): Working {
  known = yield tryIt(REPRODUCE);
  if (known.seen.stops === 0) return { kind: "release", named: [] };
  for (const id of known.shop.repairs)
    for (const candidate of repairs(known, id)) {
      known = yield mend(candidate, CLEAN);
      if (known.seen.stops === 0) return { kind: "release", named: mendedBy(known, id) };
    }
  for (const own of ownParts(known)) {
    const fit = spareFor(known, own);
    if (!fit || !asItCame(known, own)) continue;
    known = yield tryIt(CLEAN, { fit });
    if (known.seen.stops === 0) return { kind: "release", named: [own.part.id] };
  }
  return { kind: "return", named: [] };
}

/** What a repair is held to have mended: every cause that it can. */
function mendedBy({ state }: Known, id: string): string[] {
  const { model } = state.belief;
  const clears = model.catalog.repairs?.find((r) => r.id === id)?.clears ?? {};
  return model.causes.filter((c) => Object.hasOwn(clears, c.template)).map((c) => c.id);
}

export const checklist: Strategy = { id: "checklist", name: "A fixed checklist", work };
