/** A catalog with some of its figures moved, to see what a race makes of it. Pure. */
import type { Catalog, CauseTemplate } from "../catalog/schema.js";

export interface Moved {
  /** money for an hour of labour; null: the catalog's own */
  labourPerHour: number | null;
  /** every fault shows this many times as often */
  showing: number;
}

export const AS_IT_IS: Moved = { labourPerHour: null, showing: 1 };

/** No average rate is moved beyond these. */
const [SELDOM, OFTEN] = [0.005, 0.995];

export function catalogWith(catalog: Catalog, { labourPerHour, showing }: Moved): Catalog {
  return {
    ...catalog,
    ...(labourPerHour !== null && { labourPerHour }),
    ...(showing !== 1 && {
      causes: catalog.causes.map((cause) => ({
        ...cause,
        intermittency: shown(cause.intermittency, showing),
      })),
    }),
  };
}

/** The chance of a hard fault and the mean of the others times `by`; how sure one is of the mean stays. */
function shown(prior: CauseTemplate["intermittency"], by: number): CauseTemplate["intermittency"] {
  if ("fixed" in prior) return { ...prior, fixed: Math.min(1, prior.fixed * by) };
  const weight = prior.a + prior.b;
  const mean = Math.min(OFTEN, Math.max(SELDOM, (by * prior.a) / weight));
  return { ...prior, hard: Math.min(1, prior.hard * by), a: mean * weight, b: (1 - mean) * weight };
}
