/**
 * How often intervals hold the truth. Truths are drawn from tuning's own prior around the small catalog, so that an interval
 * of 90 % should hold 90 % of them, whatever the size of the table.
 */
import {
  logit,
  logistic,
  pointOf,
  softAt,
  type Point,
  type Soft,
} from "../../engine/learn/fit/betaBinomial.js";
import { catalogFigures } from "../../engine/learn/fit/figures.js";
import { GROUP_SD, OWN_SD } from "../../engine/learn/fit/rates.js";
import { usualRate } from "../../engine/learn/fit/events.js";
import { SIGNATURE_WORTH } from "../../engine/learn/fit/signatures.js";
import { shareTree } from "../../engine/learn/fit/shares.js";
import { Gathered } from "../../engine/learn/gather.js";
import { tune } from "../../engine/learn/tune.js";
import type { PastTicket } from "../../engine/learn/space.js";
import type { Ranged } from "../../engine/learn/tuning.js";
import { drawBeta, drawNormal, type Uniform } from "../../engine/practice/streams.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { cleanTickets, type Habits, type Truth } from "../../scenarios/past-tickets/draw.js";
import { catalog, space, start } from "./small.js";

export const RECOVERY: Habits = { confirmed: 0.7, onlyShown: 0, bend: 0, events: false };

export function gatheredOf(tickets: Iterable<PastTicket>, isDated = false): Gathered {
  const gathered = new Gathered(space, isDated);
  let k = 0;
  for (const ticket of tickets) gathered.add(ticket, `T${k++}`);
  return gathered;
}

/** A Dirichlet by breaking a stick. */
function dirichlet(alpha: readonly number[], uniform: Uniform): number[] {
  let [left, rest] = [1, alpha.reduce((sum, a) => sum + a, 0)];
  return alpha.map((a, k) => {
    rest -= a;
    const part = k === alpha.length - 1 ? left : left * drawBeta(a, rest, uniform());
    left -= part;
    return part;
  });
}

export function truthFromPrior(uniform: Uniform): Truth {
  const rate = usualRate(start, false);
  const figures = catalogFigures(start, rate);
  const shares = new Float64Array(space.causes.length).fill(1);
  for (const { pseudo, leaves } of shareTree(figures.shares, start.worth, space).nodes)
    dirichlet(pseudo, uniform).forEach((p, k) => leaves[k]!.forEach((c) => (shares[c]! *= p)));
  const normal = (sd: number) => drawNormal(0, sd, uniform());
  const pulls = new Map<string, number[]>();
  const rates = catalog.causes.map(({ group, intermittency }): Soft => {
    if (!pulls.has(group))
      pulls.set(
        group,
        [0, 0, 0].map(() => normal(GROUP_SD)),
      );
    const from = pointOf(intermittency as Soft);
    return softAt(from.map((x, j) => x + pulls.get(group)![j]! + normal(OWN_SD)) as Point);
  });
  const S = space.stages.length;
  const signatures = space.causes.map((_, c) => {
    const row = Array.from(
      figures.signatures.subarray(c * S, (c + 1) * S),
      (p) => SIGNATURE_WORTH * (0.98 * p + 0.02 / S),
    );
    return Float64Array.from(c < space.none ? dirichlet(row, uniform) : [0.5, 0.5]);
  });
  return {
    ...{
      shares,
      rates,
      signatures,
      eventRate: rate,
      brings: figures.events.brings,
      given: figures.events.given,
    },
    cures: (catalog.repairs ?? []).map(() => space.causes.map(() => NaN)),
    minutes: [],
    leak: figures.leak,
  };
}

/** Truths with the intervals they should lie in. */
export type Coverage = Record<"share" | "rate" | "stages", { truth: number; after: Ranged }[]>;

export function coverage(repetitions: number, tickets: number, seed = 100): Coverage {
  const found: Coverage = { share: [], rate: [], stages: [] };
  for (let k = 0; k < repetitions; k++) {
    const truth = truthFromPrior(seededUniform(seed + k));
    const { changes } = tune(gatheredOf(cleanTickets(start, truth, RECOVERY, tickets, 5000 + seed + k)));
    for (const { figure, of, about, after } of changes) {
      const c = space.causes.indexOf(of);
      const { a, b } = truth.rates[c] ?? { a: NaN, b: NaN };
      if (figure === "share") found.share.push({ truth: truth.shares[c]!, after });
      if (figure === "rate") found.rate.push({ truth: a / (a + b), after });
      // of two stages one is enough: the other is what is left
      if (figure === "stages" && about === space.stages[0])
        found.stages.push({ truth: truth.signatures[c]![0]!, after });
    }
  }
  return found;
}

/** Share of the truths that lie within. @param width  factor on the intervals' half-widths, in the logit */
export function heldBy(found: Coverage["share"], width = 1): number {
  const held = found.filter(({ truth, after: { value, low, high } }) => {
    const scaled = (end: number) => logistic(logit(value) + width * (logit(end) - logit(value)));
    return scaled(low) <= truth && truth <= scaled(high);
  });
  return held.length / found.length;
}
