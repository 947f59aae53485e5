/** The figures that past tickets teach, as the catalog has them and as they become. */
import { numberOf } from "../../catalog/figures.js";
import { signatureOf } from "../../catalog/expand.js";
import { pointOf, softAt, type Point, type Soft } from "./betaBinomial.js";
import { eventStart, type EventFigures } from "./events.js";
import { oddsOverall, type Start } from "./start.js";

export interface Figures {
  /** share of each cause among machines brought in; length C, sums to 1 */
  shares: Float64Array;
  /** of each template: h, a, b, or a rate known exactly */
  rates: (Soft | { fixed: number })[];
  /** by group: how far its causes' rates lie from the catalog's, in the coordinates of betaBinomial.ts */
  pulls: Map<string, Point>;
  /** σ_c(s); C × S; the row of `none` is the leak's, that of `unlisted` is not used */
  signatures: Float64Array;
  events: EventFigures;
  /** ε */
  leak: number;
}

/** @param rate  r_e, which is no figure of the catalog: share of machines that each event came before; length E */
export function catalogFigures(start: Start, rate: Float64Array): Figures {
  const { catalog, causes, stages, none } = start.space;
  const signatures = new Float64Array(causes.length * stages.length);
  catalog.causes.forEach((c, k) => signatures.set(signatureOf(c.signature, catalog), k * stages.length));
  signatures.set(signatureOf(catalog.leak.signature, catalog), none * stages.length);
  const events = eventStart(start, rate);
  return {
    shares: catalogShares(start, events),
    rates: catalog.causes.map(({ intermittency: r }) =>
      "fixed" in r ? { fixed: r.fixed } : softAt(pointOf(r)),
    ),
    pulls: new Map(),
    signatures,
    events,
    leak: numberOf(catalog.leak.chance),
  };
}

/** ν, u, and the rest in proportion to the odds over all machines. */
export function catalogShares({ space, chances, weight }: Start, events: EventFigures): Float64Array {
  const { catalog, causes, none, unlisted } = space;
  const E = space.events.length;
  const shares = new Float64Array(causes.length);
  let total = 0;
  chances.forEach((places, c) => {
    const q = events.brings.subarray(c * E, (c + 1) * E);
    shares[c] = weight[c]! * oddsOverall(places, q, events.rate);
    total += shares[c]!;
  });
  shares[none] = numberOf(catalog.nothingWrong);
  shares[unlisted] = numberOf(catalog.unlisted);
  const rest = 1 - shares[none]! - shares[unlisted]!;
  for (let c = 0; c < chances.length; c++) shares[c] = (rest * shares[c]!) / total;
  return shares;
}
