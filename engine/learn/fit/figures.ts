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

/** How firmly the catalog's rates are held (judgement): a cause within its group, a group as a whole. */
export const OWN_SD = 0.5;
export const GROUP_SD = 0.7;

/** ln of the prior of rates and of the pulls of their groups, without constants. @param moved  causes with counts */
export function logRatePrior(start: Start, { rates, pulls }: Figures, moved: readonly boolean[]): number {
  let log = 0;
  start.space.catalog.causes.forEach(({ group, intermittency }, c) => {
    const rate = rates[c]!;
    if (!moved[c] || "fixed" in rate || "fixed" in intermittency) return;
    const [at, from, pull] = [pointOf(rate, 0), pointOf(intermittency), pulls.get(group) ?? [0, 0, 0]];
    at.forEach((x, j) => (log -= ((x - from[j]! - pull[j]!) / OWN_SD) ** 2 / 2));
  });
  for (const pull of pulls.values()) for (const x of pull) log -= (x / GROUP_SD) ** 2 / 2;
  return log;
}

/** The most likely pull of each group, given where its causes' rates lie. */
export function pullsOf(
  start: Start,
  rates: Figures["rates"],
  moved: readonly boolean[],
): Map<string, Point> {
  const sums = new Map<string, { n: number; sum: Point }>();
  start.space.catalog.causes.forEach(({ group, intermittency }, c) => {
    const rate = rates[c]!;
    if (!moved[c] || "fixed" in rate || "fixed" in intermittency) return;
    const [at, from] = [pointOf(rate, 0), pointOf(intermittency)];
    const one = sums.get(group) ?? { n: 0, sum: [0, 0, 0] as Point };
    sums.set(group, { n: one.n + 1, sum: one.sum.map((x, j) => x + at[j]! - from[j]!) as Point });
  });
  const own = 1 / OWN_SD ** 2;
  return new Map(
    [...sums].map(([group, { n, sum }]) => [
      group,
      sum.map((x) => (x * own) / (n * own + 1 / GROUP_SD ** 2)) as Point,
    ]),
  );
}
