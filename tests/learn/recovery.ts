/**
 * How often intervals hold the truth. Truths are drawn from tuning's own prior around the small catalog, so that an interval
 * of 90 % should hold 90 % of them, whatever the size of the table.
 */
import jstat from "jstat";
import { numberOf } from "../../engine/catalog/figures.js";
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
import { RATE_PRIOR, usualRate } from "../../engine/learn/fit/events.js";
import { fit } from "../../engine/learn/fit/fit.js";
import { CURE_WORTH, LOG_SD, MINUTES_WORTH } from "../../engine/learn/fit/repairs.js";
import { signaturePrior } from "../../engine/learn/fit/signatures.js";
import { eventGiven } from "../../engine/learn/fit/start.js";
import { shareTree } from "../../engine/learn/fit/shares.js";
import { Gathered } from "../../engine/learn/gather.js";
import { tunedFigures } from "../../engine/learn/tuned.js";
import type { PastTicket } from "../../engine/learn/space.js";
import type { Ranged } from "../../engine/learn/tuning.js";
import { drawBeta, drawNormal, type Uniform } from "../../engine/practice/streams.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { cleanTickets, type Habits, type Truth } from "../../scenarios/past-tickets/draw.js";
import { catalog, space, start } from "./small.js";

export const RECOVERY: Habits = { confirmed: 0.7, onlyShown: 0, bend: 0, events: true };

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
  const figures = catalogFigures(start, usualRate(start, true));
  const shares = new Float64Array(space.causes.length).fill(1);
  for (const { pseudo, leaves } of shareTree(figures.shares, start.worth, space).nodes)
    dirichlet(pseudo, uniform).forEach((p, k) => leaves[k]!.forEach((c) => (shares[c]! *= p)));
  const S = space.stages.length;
  const pseudo = signaturePrior(figures.signatures, S);
  return {
    shares,
    rates: ratesFromPrior(uniform),
    signatures: space.causes.map((_, c) =>
      Float64Array.from(
        c < space.none ? dirichlet([...pseudo.subarray(c * S, (c + 1) * S)], uniform) : [0.5, 0.5],
      ),
    ),
    ...eventsFromPrior(uniform),
    ...repairsFromPrior(uniform),
    leak: figures.leak,
  };
}

function ratesFromPrior(uniform: Uniform): Soft[] {
  const normal = (sd: number) => drawNormal(0, sd, uniform());
  const pulls = new Map<string, number[]>();
  return catalog.causes.map(({ group, intermittency }) => {
    const pull = pulls.get(group) ?? [0, 0, 0].map(() => normal(GROUP_SD));
    pulls.set(group, pull);
    return softAt(pointOf(intermittency as Soft).map((x, j) => x + pull[j]! + normal(OWN_SD)) as Point);
  });
}

function eventsFromPrior(uniform: Uniform): Pick<Truth, "eventRate" | "brings" | "given"> {
  const { alpha, beta } = RATE_PRIOR;
  const eventRate = Float64Array.from(space.events, () => drawBeta(alpha, beta, uniform()));
  const brings = Float64Array.from(start.brings, (b) => (b ? drawBeta(b.alpha, b.beta, uniform()) : NaN));
  const E = space.events.length;
  const given = Float64Array.from({ length: space.causes.length * E }, (_, at) => {
    const [chances, q, r] = [start.chances[Math.floor(at / E)], brings[at]!, eventRate[at % E]!];
    return chances && q > 0 ? eventGiven(chances, q, r) : r;
  });
  return { eventRate, brings, given };
}

/** Cures are Betas; ln minutes normal with a variance of its own, σ² ~ scaled inverse χ². */
function repairsFromPrior(uniform: Uniform): Pick<Truth, "cures" | "minutes"> {
  const repairs = catalog.repairs ?? [];
  const cures = repairs.map(({ clears }) =>
    space.causes.map((id) => {
      const from = Object.hasOwn(clears, id) ? numberOf(clears[id]!) : NaN;
      return from > 0 ? drawBeta(CURE_WORTH * from, CURE_WORTH * (1 - from), uniform()) : NaN;
    }),
  );
  const minutes = repairs.map((repair): [number, number] => {
    const chi2 = jstat.jStat.gamma.inv(uniform(), MINUTES_WORTH / 2, 2);
    const sd = Math.sqrt((MINUTES_WORTH * LOG_SD ** 2) / chi2);
    const mean = Math.log(numberOf(repair.minutes)) - LOG_SD ** 2 / 2;
    return [drawNormal(mean, sd / Math.sqrt(MINUTES_WORTH), uniform()), sd];
  });
  return { cures, minutes };
}

/** Kinds of figure. `none` is the share of machines with nothing wrong, in `share` too. */
export const KINDS = ["share", "none", "hard", "rate", "stages", "event", "cure", "minutes"] as const;
export type Kind = (typeof KINDS)[number];

/** Truths with the intervals they should lie in. */
export type Coverage = Record<Kind, { truth: number; after: Ranged }[]>;

export function coverage(repetitions: number, tickets: number, seed = 100, habits = RECOVERY): Coverage {
  const found = Object.fromEntries(KINDS.map((kind) => [kind, []])) as unknown as Coverage;
  for (let k = 0; k < repetitions; k++) {
    const truth = truthFromPrior(seededUniform(seed + k));
    const material = gatheredOf(cleanTickets(start, truth, habits, tickets, 5000 + seed + k)).all();
    const { views } = tunedFigures(start, fit(start, material), material.tally, "drawn");
    for (const { figure, of, about, after } of views) {
      // of two stages one is enough: the other is what is left
      if (figure === "failures a year" || (figure === "stages" && about !== space.stages[0])) continue;
      const one = { truth: truthOf(truth, figure, of, about), after };
      found[figure].push(one);
      if (of === "none") found.none.push(one);
    }
  }
  return found;
}

function truthOf(truth: Truth, figure: Exclude<Kind, "none">, of: string, about: string | null): number {
  const [c, r] = [space.causes.indexOf(of), space.repairs.indexOf(of)];
  const { a, b, hard } = truth.rates[c] ?? { a: NaN, b: NaN, hard: NaN };
  switch (figure) {
    case "share":
      return truth.shares[c]!;
    case "hard":
      return hard;
    case "rate":
      return a / (a + b);
    case "stages":
      return truth.signatures[c]![space.stages.indexOf(about!)]!;
    case "event":
      return truth.brings[c * space.events.length + space.events.indexOf(about!)]!;
    case "cure":
      return truth.cures[r]![space.causes.indexOf(about!)]!;
    case "minutes":
      return Math.exp(truth.minutes[r]![0] + truth.minutes[r]![1] ** 2 / 2);
  }
}

/** Share of the truths that lie within. @param width  factor on the intervals' half-widths, in the logit */
export function heldBy(found: Coverage["share"], width = 1): number {
  const held = found.filter(({ truth, after: { value, low, high } }) => {
    if (width === 1) return low <= truth && truth <= high;
    const scaled = (end: number) => logistic(logit(value) + width * (logit(end) - logit(value)));
    return scaled(low) <= truth && truth <= scaled(high);
  });
  return held.length / found.length;
}
