/**
 * Elimination: parts out or exchanged one by one in common order; the one after whose change the machine starts clean is
 * held to have been it.
 *
 * Naive: one clean start convicts. Careful: a clean start is repeated before it does, and under the conditions in which the
 * fault has shown. Both first try to see the fault; a machine that will not show it is handed back as it is.
 * Common practice, no source.
 */
import type { Known, Strategy, Working } from "../strategy.js";
import { customersUse } from "../shop.js";
import { back, ownParts, put, spareFor, tryIt, without, type Fit } from "./moves.js";

interface Care {
  /** starts made to see the fault, and as many as the customer makes them */
  reproduce: number;
  asUsed: number;
  /** clean starts in a row that convict */
  clean: number;
  /** clean starts before it is handed over */
  proof: number;
}

const NAIVE: Care = { reproduce: 6, asUsed: 0, clean: 1, proof: 0 };
const CAREFUL: Care = { reproduce: 8, asUsed: 2, clean: 4, proof: 4 };

/** Part by part until one is convicted. */
function* eliminate(known: Known, care: Care): Working {
  const shown = yield* reproduce(known, care);
  if (shown === null) return { kind: "release", named: [] };
  // nobody waits for four cold starts after every part
  const patience = Object.keys(shown).length > 0 ? 0.5 : 1;
  const [clean, proof] = [Math.ceil(care.clean * patience), Math.ceil(care.proof * patience)];
  for (const own of ownParts(known)) {
    // to leave it out is quicker than to exchange it, and costs nothing
    const out = without(known, own);
    const trial: Fit | null = out ?? spareFor(known, own);
    if (!trial) continue;
    known = yield tryIt(clean, { fit: trial, conditions: shown });
    if (known.seen.stops > 0) {
      known = yield put(back(own));
      continue;
    }
    const good = spareFor(known, own);
    if (good === null) return { kind: "return", named: [own.part.id] };
    if (out) known = yield tryIt(proof, { fit: good, conditions: shown });
    else if (proof > 0) known = yield tryIt(proof, { conditions: shown });
    if (proof === 0 || known.seen.stops === 0) return { kind: "release", named: [own.part.id] };
    // it was not that part, or not that part alone
    known = yield put(back(own));
  }
  return { kind: "return", named: [] };
}

/** The conditions in which it stopped, or null where it would not. */
function* reproduce(
  known: Known,
  care: Care,
): Generator<ReturnType<typeof tryIt>, Record<string, string> | null, Known> {
  known = yield tryIt(care.reproduce);
  if (known.seen.stops > 0) return {};
  if (care.asUsed === 0) return null;
  const conditions = customersUse(known.state.belief.model.catalog);
  known = yield tryIt(care.asUsed, { conditions });
  return known.seen.stops > 0 ? conditions : null;
}

export const elimination: Strategy = {
  id: "elimination",
  name: "Elimination, one clean start convicts",
  work: (known) => eliminate(known, NAIVE),
};

export const carefulElimination: Strategy = {
  id: "careful",
  name: "Elimination, four clean starts convict",
  work: (known) => eliminate(known, CAREFUL),
};
