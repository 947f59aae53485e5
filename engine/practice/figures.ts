/**
 * What a race adds up to: means with their 95 % intervals, deciles, shares, and ratios to the first strategy.
 */
import { quantileOf } from "../belief/redraw.js";
import { mean, normalInterval, Z, type Interval } from "./interval.js";
import { streamOf } from "./streams.js";
import type { Outcome, Worked } from "./work.js";

export interface Spread {
  mean: Interval;
  median: number;
  /** 10 %, 20 % … 90 % */
  deciles: number[];
}

export interface StrategyFigures {
  id: string;
  name: string;
  tickets: number;
  minutes: Spread;
  money: Spread;
  total: Spread;
  /** parts wrongly replaced, a ticket */
  wrongParts: Interval;
  comebacks: Interval;
  rightCauses: Interval;
  outcomes: Record<Outcome, number>;
  actions: number;
  /** this strategy's over the first one's; null where the first one's is 0 */
  ratios: Record<(typeof COMPARED)[number], Interval | null>;
}

const COMPARED = ["minutes", "money", "total", "wrongParts", "comebacks"] as const;
const OUTCOMES: Outcome[] = ["released", "returned", "over budget", "unresolved"];

export interface Column {
  id: string;
  name: string;
  worked: readonly Worked[];
}

export function raceFigures(columns: readonly Column[], seed: number): StrategyFigures[] {
  const first = columns[0];
  return columns.map(({ id, name, worked }) => ({
    id,
    name,
    tickets: worked.length,
    minutes: spreadOf(valuesOf(worked, "minutes")),
    money: spreadOf(valuesOf(worked, "money")),
    total: spreadOf(valuesOf(worked, "total")),
    wrongParts: countOf(valuesOf(worked, "wrongParts")),
    comebacks: shareOf(worked.map((w) => w.comeback)),
    rightCauses: shareOf(worked.map((w) => w.right)),
    outcomes: Object.fromEntries(
      OUTCOMES.map((o) => [o, worked.filter((w) => w.outcome === o).length]),
    ) as Record<Outcome, number>,
    actions: mean(worked.map((w) => w.actions)),
    ratios: Object.fromEntries(
      COMPARED.map((what) => [what, ratioOf(valuesOf(worked, what), valuesOf(first!.worked, what), seed)]),
    ) as StrategyFigures["ratios"],
  }));
}

const valuesOf = (worked: readonly Worked[], what: (typeof COMPARED)[number]): number[] =>
  worked.map((w) => (what === "comebacks" ? Number(w.comeback) : w[what]));

/** Minutes, money and counts are not below 0, whatever the normal law says. */
function meanOf(values: readonly number[]): Interval {
  const interval = normalInterval(values);
  return { ...interval, low: Math.max(0, interval.low) };
}

/** Where none was seen the spread says nothing: the count that would show none one time in forty (Garwood 1936, Biometrika 28). */
function countOf(values: readonly number[]): Interval {
  const interval = meanOf(values);
  return interval.value > 0 ? interval : { ...interval, high: -Math.log(0.025) / values.length };
}

function spreadOf(values: readonly number[]): Spread {
  return {
    mean: meanOf(values),
    median: quantileOf(values, 0.5),
    deciles: Array.from({ length: 9 }, (_, k) => quantileOf(values, (k + 1) / 10)),
  };
}

/** Source: Wilson 1927 (Journal of the American Statistical Association 22). */
function shareOf(hits: readonly boolean[]): Interval {
  const n = hits.length;
  const value = hits.filter(Boolean).length / n;
  const centre = (value + Z ** 2 / (2 * n)) / (1 + Z ** 2 / n);
  const half = (Z / (1 + Z ** 2 / n)) * Math.sqrt((value * (1 - value)) / n + Z ** 2 / (4 * n * n));
  return { value, low: Math.max(0, centre - half), high: Math.min(1, centre + half) };
}

const RESAMPLES = 400;

/** Ratio of two means over the same tickets; tickets drawn again with replacement (Efron 1979, Annals of Statistics 7). */
function ratioOf(own: readonly number[], other: readonly number[], seed: number): Interval | null {
  const n = own.length;
  const base = mean(other);
  if (!(base > 0)) return null;
  const uniform = streamOf(seed, "resamples");
  const ratios: number[] = [];
  for (let b = 0; b < RESAMPLES; b++) {
    let [x, y] = [0, 0];
    for (let k = 0; k < n; k++) {
      const at = Math.floor(uniform() * n);
      x += own[at]!;
      y += other[at]!;
    }
    if (y > 0) ratios.push(x / y);
  }
  return { value: mean(own) / base, low: quantileOf(ratios, 0.025), high: quantileOf(ratios, 0.975) };
}
