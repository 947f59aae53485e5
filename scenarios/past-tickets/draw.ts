/**
 * Past tickets drawn from a hidden truth: invented, seeded, none of it from any shop.
 *
 * The truth is a catalog bent out of shape: every share, rate, signature, event, minute and efficacy a random factor away from
 * what the catalog says. A ticket draws its cause, its own chance to show, what had happened before, its starts and where
 * they stopped, and whether anybody ever confirmed the cause.
 */
import { numberOf } from "../../engine/catalog/figures.js";
import type { Soft } from "../../engine/learn/fit/betaBinomial.js";
import { logit, logistic, pointOf, softAt } from "../../engine/learn/fit/betaBinomial.js";
import { eventStart } from "../../engine/learn/fit/events.js";
import { catalogFigures, catalogShares } from "../../engine/learn/fit/figures.js";
import { GROUP_SD, OWN_SD } from "../../engine/learn/fit/rates.js";
import type { Start } from "../../engine/learn/fit/start.js";
import type { PastTicket } from "../../engine/learn/space.js";
import { seededUniform } from "../../engine/numeric/random.js";
import {
  drawBeta,
  drawDirichlet,
  drawIndex,
  drawNormal,
  type Uniform,
} from "../../engine/practice/streams.js";

export interface Truth {
  shares: Float64Array;
  rates: Soft[];
  signatures: Float64Array[];
  /** share of machines that an event came before; how often it brings a cause in, T × E; P(event | cause), C × E */
  eventRate: Float64Array;
  brings: Float64Array;
  given: Float64Array;
  /** repair × cause, NaN where the repair does nothing for it */
  cures: number[][];
  /** ln minutes of each repair: mean and sd */
  minutes: [mean: number, sd: number][];
  leak: number;
}

export interface Habits {
  /** share of tickets somebody tried to confirm */
  confirmed: number;
  /** share of those that could be confirmed only because the fault showed */
  onlyShown: number;
  /** sd of the factors between catalog and truth, in logarithms */
  bend: number;
  events: boolean;
}

export const HABITS: Habits = { confirmed: 0.6, onlyShown: 0.6, bend: 0.7, events: true };

const normal = (uniform: Uniform, sd: number): number => drawNormal(0, sd, uniform());

export function drawTruth(start: Start, habits: Habits, uniform: Uniform): Truth {
  const { space } = start;
  const { catalog, none, unlisted } = space;
  const E = space.events.length;
  const { bend } = habits;
  const eventRate = Float64Array.from({ length: E }, () => (habits.events ? 0.03 + 0.12 * uniform() : 0));
  const from = eventStart(start, eventRate);
  const brings = from.brings.map((q) => (q > 0 ? logistic(logit(q) + normal(uniform, bend)) : NaN));
  const figures = { ...catalogFigures(start, eventRate), events: { ...from, brings } };
  const shares = catalogShares(start, figures.events).map((p) => p * Math.exp(normal(uniform, bend)));
  shares[none] = shares[none]! * 1.5;
  shares[unlisted] = shares[unlisted]! * 1.5;
  const total = shares.reduce((sum, p) => sum + p, 0);
  const pulls = new Map<string, number[]>();
  const rates = catalog.causes.map(({ intermittency, group }) => {
    if (!pulls.has(group))
      pulls.set(
        group,
        [0, 0, 0].map(() => normal(uniform, GROUP_SD)),
      );
    if ("fixed" in intermittency)
      return { hard: 0, a: 1e6 * intermittency.fixed, b: 1e6 * (1 - intermittency.fixed) };
    const pull = pulls.get(group)!;
    const at = pointOf(intermittency).map((x, j) => x + pull[j]! + normal(uniform, OWN_SD));
    return softAt(at as [number, number, number]);
  });
  const S = space.stages.length;
  const signatures = space.causes.map((_, c) => {
    if (c === unlisted) return drawDirichlet(0.5, S, uniform);
    const row = Array.from(
      { length: S },
      (_, s) => figures.signatures[c * S + s]! * Math.exp(normal(uniform, bend)),
    );
    const sum = row.reduce((x, p) => x + p, 0);
    return Float64Array.from(row, (p) => p / sum);
  });
  return {
    shares: shares.map((p) => p / total),
    rates,
    signatures,
    eventRate,
    brings,
    given: givenOf(start, eventRate, brings),
    cures: (catalog.repairs ?? []).map(({ clears }) =>
      space.causes.map((id) =>
        Object.hasOwn(clears, id)
          ? logistic(logit(Math.min(0.99, numberOf(clears[id]!))) + normal(uniform, bend))
          : NaN,
      ),
    ),
    minutes: (catalog.repairs ?? []).map(({ minutes }) => [
      Math.log(Math.max(1, numberOf(minutes))) + normal(uniform, bend / 2),
      0.25 + 0.3 * uniform(),
    ]),
    leak: numberOf(catalog.leak.chance),
  };
}

/** P(event | cause), by Bayes from how often the event comes before any machine and how it raises the cause's odds. */
function givenOf({ space, chances }: Start, rate: Float64Array, brings: Float64Array): Float64Array {
  const E = space.events.length;
  const odds = (places: readonly number[], q: number) =>
    places.reduce((sum, p) => sum + (1 - (1 - p) * (1 - q)) / ((1 - p) * (1 - q)), 0);
  return Float64Array.from({ length: space.causes.length * E }, (_, at) => {
    const [c, e] = [Math.floor(at / E), at % E];
    const q = c < chances.length ? brings[at]! : NaN;
    if (!(q > 0)) return rate[e]!;
    const [quiet, after] = [odds(chances[c]!, 0), odds(chances[c]!, q)];
    return (rate[e]! * after) / (rate[e]! * after + (1 - rate[e]!) * quiet);
  });
}

export interface Drawn extends PastTicket {
  /** what it really was */
  truly: number;
}

const YEARS = { first: 2021, count: 5 };

/** One closed ticket. @param at  how far through the years it is, 0 to 1 */
export function drawTicket(start: Start, truth: Truth, habits: Habits, at: number, uniform: Uniform): Drawn {
  const { space } = start;
  const { none, unlisted } = space;
  const truly = drawIndex(truth.shares, uniform());
  const rate = truth.rates[truly];
  const r = rate
    ? uniform() < rate.hard
      ? 1
      : drawBeta(rate.a, rate.b, uniform())
    : truly === none
      ? truth.leak
      : drawBeta(0.8, 1, uniform());
  const starts = 2 + Math.floor(9 * uniform());
  let stops = 0;
  for (let k = 0; k < starts; k++) if (uniform() < r) stops++;
  const onlyShown = truly !== none && uniform() < habits.onlyShown;
  const isConfirmed = uniform() < habits.confirmed && !(onlyShown && stops === 0);
  const stage = drawIndex(truth.signatures[truly]!, uniform());
  const E = space.events.length;
  const events = space.events.flatMap((_, e) => (uniform() < truth.given[truly * E + e]! ? [e] : []));
  const month = Math.min(12 * YEARS.count - 1, Math.floor(at * 12 * YEARS.count));
  const day = 1 + Math.floor(28 * uniform());
  const pad = (n: number) => String(n).padStart(2, "0");
  const repaired = truly === none || truly === unlisted ? -1 : repairOf(truth, truly, uniform);
  const [mean, sd] = truth.minutes[repaired] ?? [0, 0];
  return {
    truly,
    cause: isConfirmed ? truly : -1,
    onlyShown,
    starts,
    stops,
    at: stops > 0 ? [[stage, 1]] : [],
    events: habits.events ? events : null,
    repair: repaired,
    cured: repaired < 0 ? -1 : uniform() < truth.cures[repaired]![truly]! ? 1 : 0,
    minutes: repaired < 0 ? NaN : Math.max(1, Math.round(Math.exp(drawNormal(mean, sd, uniform())))),
    closed: `${YEARS.first + Math.floor(month / 12)}-${pad(1 + (month % 12))}-${pad(day)}`,
    age: Math.round(10 * (1 + 8 * uniform())) / 10,
  };
}

/** One of the repairs that can cure it, or −1. */
function repairOf({ cures }: Truth, cause: number, uniform: Uniform): number {
  const able = cures.flatMap((row, r) => (row[cause]! > 0 ? [r] : []));
  return able.length === 0 ? -1 : able[Math.floor(uniform() * able.length)]!;
}

/** Clean tickets: what was confirmed is so. */
export function* cleanTickets(
  start: Start,
  truth: Truth,
  habits: Habits,
  count: number,
  seed: number,
): Generator<Drawn> {
  const uniform = seededUniform(seed);
  for (let k = 0; k < count; k++) yield drawTicket(start, truth, habits, k / count, uniform);
}
