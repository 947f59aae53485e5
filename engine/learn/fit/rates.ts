/**
 * Chances to show: a cause's rate lies around the catalog's, moved by a pull that its group has in common.
 *
 *   x_c = catalog's + pull of its group + own,   own ~ N(0, OWN_SD²),  pull ~ N(0, GROUP_SD²), each coordinate by itself
 */
import type { Start } from "./start.js";
import { pointOf, softAt, type Point } from "./betaBinomial.js";
import { climb, type Hill } from "./climb.js";
import type { Starts } from "./counts.js";
import type { Figures } from "./figures.js";

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
function pullsOf(start: Start, rates: Figures["rates"], moved: readonly boolean[]): Map<string, Point> {
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

export const FREE = [false, false, false] as const;
/** Newton steps in one pass: the passes go on anyway. */
const STEPS = 4;

/** A cause whose rate is learned: not one that is known exactly, and tickets say something of it. */
export const movedBy = (starts: Starts, { space }: Start): boolean[] =>
  space.catalog.causes.map(({ intermittency }, c) => !("fixed" in intermittency) && starts.isCounted(c));

export const centreOf = (from: Point, pull: Point = [0, 0, 0]): Point =>
  from.map((x, j) => x + pull[j]!) as Point;

/** A log likelihood with a Gaussian prior. @param sd  by coordinate */
export const held =
  (hill: (x: Point) => Hill, centre: Point, sd: Point = [OWN_SD, OWN_SD, OWN_SD]) =>
  (x: Point): Hill => {
    const { value, gradient } = hill(x);
    const off = x.map((at, j) => (at - centre[j]!) / sd[j]!);
    return {
      value: off.reduce((sum, z) => sum - z ** 2 / 2, value),
      gradient: gradient.map((g, j) => g - off[j]! / sd[j]!) as Point,
    };
  };

/** Rates after a pass, and the pulls of their groups. */
export function fitRates(start: Start, from: Figures, starts: Starts): Pick<Figures, "rates" | "pulls"> {
  const moved = movedBy(starts, start);
  const rates = start.space.catalog.causes.map(({ group, intermittency }, c) => {
    const rate = from.rates[c]!;
    if (!moved[c] || "fixed" in rate || "fixed" in intermittency) return rate;
    const centre = centreOf(pointOf(intermittency), from.pulls.get(group));
    return softAt(climb(held(starts.hillOf(c), centre), pointOf(rate, 1e-12), FREE, STEPS).at);
  });
  return { rates, pulls: pullsOf(start, rates, moved) };
}
