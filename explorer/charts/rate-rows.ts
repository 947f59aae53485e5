/** How intermittent each leading suspect is: the density of its rate. Pure. */
import type { CauseView, Weighing } from "../../engine/weighing.js";

export interface RateRow {
  id: string;
  name: string;
  group: string;
  /** chance that it was the cause */
  p: number;
  mean: number;
  low: number;
  high: number;
  hard: number;
}

export interface RatePoint {
  id: string;
  /** middle of a step */
  rate: number;
  /** chance that the rate lies in the step */
  p: number;
  /** the same as a share of the highest step of this suspect, now or before */
  height: number;
  /** the same before the record */
  before: number;
}

export interface Rates {
  rows: RateRow[];
  points: RatePoint[];
}

/** The likeliest suspects whose rate has a density. */
export function rates(weighing: Weighing, count = 5): Rates {
  const leading = [...weighing.causes]
    .filter((cause) => cause.rate?.density)
    .sort((x, y) => y.present.p - x.present.p)
    .slice(0, count);
  return { rows: leading.map(rowOf), points: leading.flatMap(pointsOf) };
}

const rowOf = ({ id, name, group, present, rate }: CauseView): RateRow => ({
  id,
  name,
  group,
  p: present.p,
  mean: rate!.mean,
  low: rate!.low,
  high: rate!.high,
  hard: rate!.hard,
});

function pointsOf({ id, rate }: CauseView): RatePoint[] {
  const steps = rate!.density!;
  const prior = rate!.densityBefore!;
  const most = Math.max(...steps, ...prior, Number.MIN_VALUE);
  return steps.map((p, k) => ({
    id,
    rate: (k + 0.5) / steps.length,
    p,
    height: p / most,
    before: prior[k]! / most,
  }));
}
