/**
 * Fitted figures → a catalog, with what changed and what stood there before.
 *
 * Only what tickets taught is written. Shares go into the causes' weights, which leaves rates and ages as they are; where
 * unit-years are known, the rate itself is learned and the other weights keep the ratio of the shares:
 *   w_c = t · s_c / A_c,   t such that Σ w_c A_c over what was listed stays what it was (or, of the rates learned, becomes)
 */
import { betaPrior, gammaPrior, numberOf } from "../catalog/figures.js";
import type { Catalog, CauseTemplate, Tuning } from "../catalog/schema.js";
import { logistic, pointOf, type Soft } from "./fit/betaBinomial.js";
import { bringsSpread } from "./fit/events.js";
import { catalogFigures } from "./fit/figures.js";
import type { Fitted } from "./fit/fit.js";
import { rateIntervals, type Coordinate, type RateInterval } from "./fit/rateIntervals.js";
import { GROUP_SD, OWN_SD } from "./fit/rates.js";
import { betaFigure, betaFrom, cureAfter, minutesAfter, rateAfter } from "./fit/repairs.js";
import { shareSpread } from "./fit/shares.js";
import { SIGNATURE_WORTH } from "./fit/signatures.js";
import { oddsOverall, type Start } from "./fit/start.js";
import { NONE, UNLISTED } from "./space.js";
import type { Tally } from "./tally/tally.js";
import type { ChangeView, Ranged } from "./tuning.js";

type Change = Tuning["changes"][number];

/** A cause that fewer tickets speak of, expected ones, keeps its rate and its signature. */
const FEWEST = 0.5;
const Z = 1.6448536269514722;
/** How firmly the catalog holds a rate before any ticket. */
const PRIOR_SD = Math.hypot(OWN_SD, GROUP_SD);

export interface TunedFigures {
  changes: Change[];
  views: ChangeView[];
  warnings: string[];
}

export function tunedFigures(start: Start, fitted: Fitted, tally: Tally, source: string): TunedFigures {
  const out = new Writer(start, fitted, tally, source);
  out.shares();
  out.causes();
  out.repairs();
  return out;
}

class Writer implements TunedFigures {
  readonly changes: Change[] = [];
  readonly views: ChangeView[] = [];
  readonly warnings: string[] = [];
  readonly #catalog: Catalog;
  readonly #intervals: (RateInterval | null)[];

  constructor(
    private readonly start: Start,
    private readonly fitted: Fitted,
    private readonly tally: Tally,
    private readonly source: string,
  ) {
    this.#catalog = start.space.catalog;
    this.#intervals = rateIntervals(start, fitted);
  }

  shares(): void {
    const { start, fitted, tally } = this;
    const { space, chances, weight } = start;
    const { shares, events } = fitted.figures;
    const E = space.events.length;
    const from = catalogFigures(start, events.rate);
    const spread = shareSpread(fitted.tree, fitted.known.tickets);
    const spreadBefore = shareSpread(fitted.tree, new Float64Array(shares.length));
    const ranged = (c: number, of: Float64Array, cv2: Float64Array) => rangedOf(betaFrom(of[c]!, cv2[c]!));

    for (const [c, key, id] of [
      [space.none, "nothingWrong", NONE],
      [space.unlisted, "unlisted", UNLISTED],
    ] as const) {
      if (!(from.shares[c]! > 0)) continue;
      this.#write([key], { value: rounded(shares[c]!), source: this.source });
      const name = id === NONE ? "Nothing was wrong" : "Something not on the list";
      this.#view(
        id,
        name,
        id,
        "share",
        null,
        fitted.counts.tickets[c]!,
        ranged(c, from.shares, spreadBefore),
        ranged(c, shares, spread),
      );
    }

    const isCounted = this.#catalog.causes.map((cause, c) => this.#rate(cause, c));
    const [odds, oddsBefore] = [events.brings, from.events.brings].map((q) =>
      chances.map((places, c) => oddsOverall(places, q.subarray(c * E, (c + 1) * E), events.rate)),
    );
    const listed = chances.map((_, c) => c).filter((c) => shares[c]! > 0);
    const byRate = listed.filter((c) => isCounted[c] !== null);
    const anchors = byRate.length > 0 ? byRate : listed;
    const before = (c: number) => weight[c]! * oddsBefore![c]! * (isCounted[c] ?? 1);
    const scale = sum(anchors, before) / sum(anchors, (c) => shares[c]!);
    this.#catalog.causes.forEach((cause, c) => {
      if (!(from.shares[c]! > 0)) {
        if (tally.tickets[c]! > 0)
          this.warnings.push(
            `${cause.id}: confirmed on ${tally.tickets[c]}, but a usual machine cannot have it: its share stays 0`,
          );
        return;
      }
      if (isCounted[c] === null) {
        const factor = {
          value: rounded((scale * shares[c]!) / odds![c]!),
          knowledge: rounded(1 / spread[c]!),
        };
        this.#write(["causes", cause.id, "weight"], { ...factor, source: this.source });
      }
      this.#view(
        cause.id,
        cause.name,
        cause.group,
        "share",
        null,
        fitted.counts.tickets[c]!,
        ranged(c, from.shares, spreadBefore),
        ranged(c, shares, spread),
      );
    });
  }

  /** Learns the rate where unit-years are known. @returns what its odds are multiplied by, or null */
  #rate({ id, name, group, rate, shape }: CauseTemplate, c: number): number | null {
    const years = this.tally.years[c]!;
    if (!(years > 0) || rate === undefined) return null;
    if (numberOf(shape ?? 1) !== 1) {
      this.warnings.push(`${id}: found ${years} unit-years, but it wears with age; learned by its share`);
      return null;
    }
    const prior = gammaPrior(rate);
    const [alpha, beta] = prior.spread ? [prior.alpha, prior.beta] : [10, 10 / prior.mean];
    const before = rateAfter(alpha, beta, 0, 0);
    const after = rateAfter(alpha, beta, this.fitted.counts.tickets[c]!, years);
    this.#write(["causes", id, "rate"], {
      failures: rounded(after.alpha),
      unitYears: rounded(after.beta),
      source: this.source,
    });
    this.#view(
      id,
      name,
      group,
      "failures a year",
      null,
      this.fitted.counts.tickets[c]!,
      rangedOf(before),
      rangedOf(after),
    );
    return after.value / before.value;
  }

  causes(): void {
    this.#catalog.causes.forEach((cause, c) => {
      this.#events(cause, c);
      if (this.fitted.counts.tickets[c]! < FEWEST) return;
      this.#intermittency(cause, c);
      this.#signature(cause, c);
    });
  }

  #events({ id, name, group, events = {} }: CauseTemplate, c: number): void {
    const { told, events: came } = this.fitted.counts;
    const { figures } = this.fitted;
    const E = this.start.space.events.length;
    this.start.space.events.forEach((event, e) => {
      const at = c * E + e;
      const figure = Object.hasOwn(events, event) ? events[event] : undefined;
      if (figure === undefined || !(figures.events.brings[at]! > 0) || !(told[c]! >= FEWEST)) return;
      const { known } = this.fitted;
      const { alpha, beta } = bringsSpread(this.start, figures.events, known.told, known.events, at);
      this.#write(["causes", id, "events", event], {
        alpha: rounded(alpha),
        beta: rounded(beta),
        source: this.source,
      });
      const from = betaPrior(figure);
      const before = from.spread ? rangedOf(betaFigure(from.alpha, from.beta)) : exactly(from.mean);
      this.#view(id, name, group, "event", event, came[at]!, before, rangedOf(betaFigure(alpha, beta)));
    });
  }

  #intermittency({ id, name, group, intermittency }: CauseTemplate, c: number): void {
    const rate = this.fitted.figures.rates[c]!;
    const interval = this.#intervals[c];
    const tickets = this.fitted.counts.starts.ticketsOf(c);
    if (!interval || "fixed" in rate || "fixed" in intermittency || tickets < FEWEST) return;
    this.#write(["causes", id, "intermittency"], { ...roundedSoft(rate), source: this.source });
    const [from, at] = [pointOf(intermittency), pointOf(rate, 0)];
    const before = (x: number): Ranged => between(x, [x - Z * PRIOR_SD, x + Z * PRIOR_SD]);
    const after = (j: Coordinate) => between(at[j], interval(j));
    this.#view(id, name, group, "hard", null, tickets, before(from[0]), after(0));
    this.#view(id, name, group, "rate", null, tickets, before(from[1]), after(1));
  }

  #signature({ id, name, group, signature }: CauseTemplate, c: number): void {
    const { stages } = this.start.space;
    const S = stages.length;
    const stops = this.fitted.counts.stops.subarray(c * S, (c + 1) * S);
    const total = stops.reduce((n, x) => n + x, 0);
    if (total < FEWEST) return;
    const known = this.fitted.known.stops
      .subarray(c * S, (c + 1) * S)
      .reduce((n, x) => n + x, SIGNATURE_WORTH);
    const row = this.fitted.figures.signatures.subarray(c * S, (c + 1) * S);
    this.#write(["causes", id, "signature"], wholeSignature(stages, row));
    stages.forEach((stage, s) => {
      const from = Object.hasOwn(signature, stage) ? signature[stage]! : 0;
      const [worth, after] = [SIGNATURE_WORTH * from, row[s]! * known];
      const before =
        from > 0 && from < 1 ? rangedOf(betaFigure(worth, SIGNATURE_WORTH - worth)) : exactly(from);
      this.#view(
        id,
        name,
        group,
        "stages",
        stage,
        stops[s]!,
        before,
        rangedOf(betaFigure(after, known - after)),
      );
    });
  }

  repairs(): void {
    const C = this.start.space.causes.length;
    (this.#catalog.repairs ?? []).forEach(({ id, name, minutes, clears }, r) => {
      const sums = [...this.tally.minutes.subarray(3 * r, 3 * r + 3)] as [number, number, number];
      const from = numberOf(minutes);
      if (sums[0] > 0 && from > 0) {
        const [before, after] = [minutesAfter(from, [0, 0, 0]), minutesAfter(from, sums)];
        this.#write(["repairs", id, "minutes"], { value: rounded(after.value), source: this.source });
        this.#view(id, name, "repair", "minutes", null, sums[0], before, after);
      }
      for (const [cause, figure] of Object.entries(clears)) {
        const at = (r * C + this.start.space.causes.indexOf(cause)) * 2;
        const [not, cured] = [this.tally.cures[at]!, this.tally.cures[at + 1]!];
        if (not + cured === 0) continue;
        const [before, after] = [cureAfter(numberOf(figure), 0, 0), cureAfter(numberOf(figure), cured, not)];
        this.#write(["repairs", id, "clears", cause], { value: rounded(after.value), source: this.source });
        this.#view(id, name, "repair", "cure", cause, not + cured, rangedOf(before), rangedOf(after));
      }
    });
  }

  #write(path: string[], after: unknown): void {
    this.changes.push({ path, after });
  }

  #view(
    of: string,
    name: string,
    group: string,
    figure: ChangeView["figure"],
    about: string | null,
    tickets: number,
    before: Ranged,
    after: Ranged,
  ): void {
    this.views.push({ of, name, group, figure, about, tickets, before, after });
  }
}

const sum = (list: readonly number[], of: (c: number) => number) =>
  list.reduce((total, c) => total + of(c), 0);
/** Logits as chances. */
const between = (x: number, [low, high]: readonly [number, number]): Ranged => ({
  value: logistic(x),
  low: logistic(low),
  high: logistic(high),
});
const exactly = (value: number): Ranged => ({ value, low: value, high: value });
const rangedOf = ({ value, low, high }: Ranged): Ranged => ({ value, low, high });

/** Five digits: more were never learned from tickets. */
const rounded = (x: number): number => Number(x.toPrecision(5));
const roundedSoft = ({ hard, a, b }: Soft): Soft => ({ hard: rounded(hard), a: rounded(a), b: rounded(b) });

/** Ten-thousandths that add up to 1, the largest taking what rounding leaves. */
function wholeSignature(stages: readonly string[], row: Float64Array): Record<string, number> {
  const parts = Array.from(row, (p) => Math.round(p * 1e4));
  const largest = parts.indexOf(Math.max(...parts));
  parts[largest] = parts[largest]! + 1e4 - parts.reduce((total, p) => total + p, 0);
  return Object.fromEntries(stages.flatMap((stage, s) => (parts[s]! > 0 ? [[stage, parts[s]! / 1e4]] : [])));
}
