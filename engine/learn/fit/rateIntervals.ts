/**
 * How well a chance to show is known: 5 % and 95 % of its coordinates' marginal posteriors.
 *
 * Within a group. The pull of a cause's group is known only from the group's other causes. What cause j says of it is, to
 * second order, Gaussian: with S_j the covariance of x_j around its mode x̂_j, the pull held at û,
 *   precision P_j = (1 − S_j/OWN_SD²)/OWN_SD²,   precision × mean = P_j û + (x̂_j − catalog's − û)/OWN_SD²
 * so that cause c has the prior N(catalog's + ū, OWN_SD² + 1/Λ), Λ = 1/GROUP_SD² + Σ_{j≠c} P_j: the pull is integrated out and
 * not put in as if it were known (Kass & Steffey 1989, JASA 84; cf. Morris 1983, JASA 78).
 *
 * Of one cause. The posterior is skewed, a share of hard faults above all, so no parabola is laid through its top: the marginal
 * of a coordinate is the height of the posterior over the other two, times the width of its top there (Tierney & Kadane 1986,
 * JASA 81, section 4), on a grid.
 *
 * Unconfirmed tickets count by the square of their share (fit.ts); a linear term puts the top where the fit has it.
 */
import { pointOf, type Point } from "./betaBinomial.js";
import { climb, curvatureAt, spreadOf, type Hill } from "./climb.js";
import { Density } from "./density.js";
import type { Fitted } from "./fit.js";
import { centreOf, FREE, GROUP_SD, held, movedBy, OWN_SD } from "./rates.js";
import type { Start } from "./start.js";

type Ends = [low: number, high: number];
export type Coordinate = 0 | 1 | 2;
/** 5 % and 95 % of a coordinate of betaBinomial.ts. */
export type RateInterval = (coordinate: Coordinate) => Ends;

/** What a cause says of its group's pull, by coordinate. */
interface Message {
  precision: Point;
  /** precision × mean */
  pulled: Point;
}

/** By template; null where nothing was learned. */
export function rateIntervals(start: Start, fitted: Fitted): (RateInterval | null)[] {
  const { causes } = start.space.catalog;
  const moved = movedBy(fitted.counts.starts, start);
  const hills = causes.map((_, c) => (moved[c] ? tilted(fitted, c) : null));
  const messages = causes.map((_, c) => hills[c] && messageOf(start, fitted, c, hills[c]));
  return causes.map(({ group, intermittency }, c) => {
    const hill = hills[c];
    if (!hill || "fixed" in intermittency) return null;
    const others = messages.filter((m, j) => m !== null && j !== c && causes[j]!.group === group);
    const sums = [0, 1, 2].map((j) => {
      const precision = others.reduce((sum, m) => sum + m!.precision[j]!, 1 / GROUP_SD ** 2);
      return { precision, pull: others.reduce((sum, m) => sum + m!.pulled[j]!, 0) / precision };
    });
    const centre = centreOf(pointOf(intermittency), sums.map((s) => s.pull) as Point);
    const sd = sums.map((s) => Math.sqrt(OWN_SD ** 2 + 1 / s.precision)) as Point;
    return intervalOf(held(hill, centre, sd), pointAt(fitted, c));
  });
}

const pointAt = ({ figures }: Fitted, c: number): Point => {
  const rate = figures.rates[c]!;
  return "fixed" in rate ? [0, 0, 0] : pointOf(rate, 1e-12);
};

/** ln likelihood of what is known, with the slope that all counts have at the fitted rate. */
function tilted(fitted: Fitted, c: number): (x: Point) => Hill {
  const [all, known] = [fitted.counts.starts.hillOf(c), fitted.known.starts.hillOf(c)];
  const at = pointAt(fitted, c);
  const slope = all(at).gradient.map((g, j) => g - known(at).gradient[j]!);
  return (x) => {
    const { value, gradient } = known(x);
    return {
      value: value + slope.reduce((sum, s, j) => sum + s * (x[j]! - at[j]!), 0),
      gradient: gradient.map((g, j) => g + slope[j]!) as Point,
    };
  };
}

function messageOf(start: Start, fitted: Fitted, c: number, hill: (x: Point) => Hill): Message {
  const { group, intermittency } = start.space.catalog.causes[c]!;
  const from = "fixed" in intermittency ? pointAt(fitted, c) : pointOf(intermittency);
  const pull = fitted.figures.pulls.get(group) ?? [0, 0, 0];
  const at = pointAt(fitted, c);
  const spread = spreadOf(curvatureAt(held(hill, centreOf(from, pull)), at, [0, 1, 2]), FREE);
  // where a parabola has no top the counts say nothing in that direction
  const precision = spread.map((sd) => Math.max(0, 1 - sd ** 2 / OWN_SD ** 2 || 0) / OWN_SD ** 2) as Point;
  const pulled = precision.map(
    (p, j) => p * pull[j]! + (at[j]! - from[j]! - pull[j]!) / OWN_SD ** 2,
  ) as Point;
  return { precision, pulled };
}

/** Half a standard deviation a step, until the marginal is down to e^-9 of its top. */
const STEP = 0.5;
const DOWN = 9;
const MOST = 24;

function intervalOf(hill: (x: Point) => Hill, near: Point): RateInterval {
  const top = climb(hill, near, FREE);
  const spread = spreadOf(top.curvature, FREE);
  return (coordinate) => {
    const isHeld = [0, 1, 2].map((j) => j === coordinate);
    const sideways = (step: number): [number, number][] => {
      const line: [number, number][] = [];
      let at = top.at;
      for (let k = 1; k <= MOST && (line.length === 0 || line.at(-1)![1] > first - DOWN); k++) {
        at = at.map((x, j) => (j === coordinate ? x + step : x)) as Point;
        const ridge = climb(hill, at, isHeld, 8);
        at = ridge.at;
        line.push([at[coordinate], ridge.value - logWidth(ridge.curvature, coordinate)]);
      }
      return line;
    };
    const first = top.value - logWidth(top.curvature, coordinate);
    const step = STEP * spread[coordinate];
    const line = [...sideways(-step).toReversed(), [top.at[coordinate], first] as const, ...sideways(step)];
    const density = new Density(line);
    return [density.quantile(0.05), density.quantile(0.95)];
  };
}

/** Half of ln det of the curvature over the other two coordinates. */
function logWidth(curvature: readonly number[], coordinate: Coordinate): number {
  const [p, q] = [0, 1, 2].filter((j) => j !== coordinate) as [number, number];
  const at = (i: number, j: number) => curvature[3 * i + j]!;
  return Math.log(Math.max(1e-12, at(p, p) * at(q, q) - at(p, q) ** 2)) / 2;
}
