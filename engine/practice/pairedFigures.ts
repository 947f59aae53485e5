/** What machines worked twice add up to. */
import { mean, normalInterval, type Interval } from "./interval.js";
import type { Worked } from "./work.js";

export type Pair = readonly [before: Worked, after: Worked];

export interface Paired {
  before: number;
  after: number;
  /** after less before, mean of pairs; of two pairs at least */
  difference: Interval;
}

export interface PairedFigures {
  strategy: string;
  tickets: number;
  /** labour minutes; minutes at the labour rate, money, and the price of how it ended */
  minutes: Paired;
  total: Paired;
  /** share in which the right cause was named */
  right: Paired;
}

export const pairedFigures = (strategy: string, pairs: readonly Pair[]): PairedFigures => ({
  strategy,
  tickets: pairs.length,
  minutes: paired(pairs, (w) => w.minutes),
  total: paired(pairs, (w) => w.total),
  right: paired(pairs, (w) => Number(w.right)),
});

const paired = (pairs: readonly Pair[], of: (worked: Worked) => number): Paired => ({
  before: mean(pairs.map(([before]) => of(before))),
  after: mean(pairs.map(([, after]) => of(after))),
  difference: normalInterval(pairs.map(([before, after]) => of(after) - of(before))),
});
