/**
 * How often intervals hold the truth. Truths are drawn from tuning's own prior around the small catalog, so that an interval
 * of 90 % should hold 90 % of them, whatever the size of the table.
 */
import lnGamma from "@stdlib/math-base-special-gammaln";
import jstat from "jstat";
import { gammaPrior, numberOf } from "../../engine/catalog/figures.js";
import { pointOf, softAt, type Point, type Soft } from "../../engine/learn/fit/betaBinomial.js";
import { catalogFigures } from "../../engine/learn/fit/figures.js";
import { GROUP_SD, OWN_SD } from "../../engine/learn/fit/rates.js";
import { eventIntervals } from "../../engine/learn/fit/eventIntervals.js";
import { RATE_PRIOR, usualRate } from "../../engine/learn/fit/events.js";
import { fit } from "../../engine/learn/fit/fit.js";
import { CURE_WORTH, LOG_SD, MINUTES_WORTH } from "../../engine/learn/fit/repairs.js";
import { signaturePrior } from "../../engine/learn/fit/signatures.js";
import { eventGiven } from "../../engine/learn/fit/start.js";
import { shareTree } from "../../engine/learn/fit/shares.js";
import { Gathered } from "../../engine/learn/gather.js";
import { tunedFigures } from "../../engine/learn/tuned.js";
import { writeShares } from "../../engine/learn/written/shares.js";
import { Sheet } from "../../engine/learn/written/sheet.js";
import type { PastTicket } from "../../engine/learn/space.js";
import type { Ranged } from "../../engine/learn/tuning.js";
import { drawBeta, drawNormal, seedOf, streamOf, type Uniform } from "../../engine/practice/streams.js";
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

/**
 * Kinds of figure. `none` is the share of machines with nothing wrong, in `share` too; `before` is how often an event came
 * before, which no catalog holds but the chances that events bring causes in rest on.
 */
export const KINDS = ["share", "none", "hard", "rate", "stages", "before", "event", "cure", "minutes", "failures a year"] as const; // prettier-ignore
export type Kind = (typeof KINDS)[number];

/** Truths with the intervals they should lie in. */
export type Coverage = Record<Kind, { truth: number; after: Ranged }[]>;

/** @param tickets  of a table; where unit-years are known, about as many */
export function coverage(repetitions: number, tickets: number, seed = 100, habits = RECOVERY): Coverage {
  const found = Object.fromEntries(KINDS.map((kind) => [kind, []])) as unknown as Coverage;
  for (let k = 0; k < repetitions; k++) {
    addTable(found, tickets, seed + k, habits);
    addYears(found, tickets, seed + k, habits);
  }
  return found;
}

/**
 * Truth and tickets draw from streams with names: seeds a constant apart give numbers a constant apart (randomLcg), so that
 * the first tickets would follow from the truth in the same way in every table.
 */
function addTable(found: Coverage, tickets: number, seed: number, habits: Habits): void {
  const truth = truthFromPrior(streamOf(seed, "truth"));
  const material = gatheredOf(cleanTickets(start, truth, habits, tickets, seedOf(seed, "tickets"))).all();
  const fitted = fit(start, material);
  const { views } = tunedFigures(start, fitted, material.tally, "drawn");
  for (const { figure, of, about, after } of views) {
    // of two stages one is enough: the other is what is left
    if (figure === "failures a year" || (figure === "stages" && about !== space.stages[0])) continue;
    const one = { truth: truthOf(truth, figure, of, about), after };
    found[figure].push(one);
    if (of === "none") found.none.push(one);
  }
  eventIntervals(start, fitted).rate.forEach((interval, e) => {
    const value = fitted.figures.events.rate[e]!;
    if (interval) found.before.push({ truth: truth.eventRate[e]!, after: { ...interval, value } });
  });
}

/** A table of all failures in some unit-years: of each cause a Poisson number, at a rate from the catalog's Gamma. */
function addYears(found: Coverage, tickets: number, seed: number, habits: Habits): void {
  const uniform = streamOf(seed, "truth, years");
  const truth = truthFromPrior(uniform);
  const priors = catalog.causes.map(({ rate }) => gammaPrior(rate!));
  const perYear = priors.map(({ alpha, beta }) => jstat.jStat.gamma.inv(uniform(), alpha, 1 / beta));
  const listed = 1 - truth.shares[space.none]! - truth.shares[space.unlisted]!;
  // fixed before anything is drawn, or it would tell of the rates
  const years = (0.85 * tickets) / priors.reduce((sum, { mean }) => sum + mean, 0);
  const failures = perYear.reduce((sum, rate) => sum + rate, 0);
  perYear.forEach((rate, c) => (truth.shares[c] = (listed * rate) / failures));
  const table = cleanTickets(
    start,
    truth,
    habits,
    poisson((failures * years) / listed, uniform),
    30_000 + seed,
  );
  const material = gatheredOf(table).all();
  material.tally.years.fill(years, 0, perYear.length);
  const sheet = new Sheet();
  writeShares(sheet, { start, fitted: fit(start, material), tally: material.tally, source: "drawn" });
  for (const { figure, of, after } of sheet.views)
    if (figure === "failures a year")
      found[figure].push({ truth: perYear[space.causes.indexOf(of)]!, after });
}

/** How many of a process of rate 1 come before `mean`. */
function poisson(mean: number, uniform: Uniform): number {
  let n = -1;
  for (let at = 0; at < mean; n++) at -= Math.log1p(-uniform());
  return Math.max(0, n);
}

function truthOf(
  truth: Truth,
  figure: Exclude<Kind, "none" | "before" | "failures a year">,
  of: string,
  about: string | null,
): number {
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

/** Share of the truths that lie within. @param width  factor on the intervals' widths, about their middle */
export function heldBy(found: Coverage[Kind], width = 1): number {
  const held = found.filter(({ truth, after: { low, high } }) => {
    const [middle, half] = [(low + high) / 2, (width * (high - low)) / 2];
    return Math.abs(truth - middle) <= half;
  });
  return held.length / found.length;
}

/** P(as few, or as many, as these are held | each with chance p), twice the smaller of both: an exact binomial test. */
export function chanceOfHeld(found: Coverage[Kind], p: number, width = 1): number {
  const n = found.length;
  const held = Math.round(heldBy(found, width) * n);
  let [few, many] = [0, 0];
  for (let k = 0; k <= n; k++) {
    const ways = lnGamma(n + 1) - lnGamma(k + 1) - lnGamma(n - k + 1);
    const chance = Math.exp(ways + k * Math.log(p) + (n - k) * Math.log1p(-p));
    if (k <= held) few += chance;
    if (k >= held) many += chance;
  }
  return Math.min(1, 2 * Math.min(few, many));
}
