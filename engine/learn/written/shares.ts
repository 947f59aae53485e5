/**
 * Shares, as weights, which leave rates and ages as they are; where unit-years are known, the rate itself is learned and the
 * other weights keep the ratio of the shares:
 *   w_c = t · s_c / A_c,   t such that Σ w_c A_c over what was listed stays what it was (or, of the rates learned, becomes)
 */
import { gammaPrior, numberOf } from "../../catalog/figures.js";
import type { CauseTemplate } from "../../catalog/schema.js";
import { catalogFigures, type Figures } from "../fit/figures.js";
import { betaFrom, rateAfter } from "../fit/repairs.js";
import { shareSpread } from "../fit/shares.js";
import { oddsOverall, type Start } from "../fit/start.js";
import { NONE, UNLISTED } from "../space.js";
import { rangedOf, rounded, type Learned, type Sheet } from "./sheet.js";

export function writeShares(sheet: Sheet, learned: Learned): void {
  const { start, fitted, tally, source } = learned;
  const { space } = start;
  const { shares } = fitted.figures;
  const from = catalogFigures(start, fitted.figures.events.rate);
  const spread = shareSpread(fitted.tree, fitted.known.tickets);
  const spreadBefore = shareSpread(fitted.tree, new Float64Array(shares.length));
  const view = (c: number, owner: Parameters<Sheet["view"]>[0]) =>
    sheet.view(owner, {
      figure: "share",
      about: null,
      tickets: fitted.counts.tickets[c]!,
      before: rangedOf(betaFrom(from.shares[c]!, spreadBefore[c]!)),
      after: rangedOf(betaFrom(shares[c]!, spread[c]!)),
    });

  for (const [c, key, id, name] of [
    [space.none, "nothingWrong", NONE, "Nothing was wrong"],
    [space.unlisted, "unlisted", UNLISTED, "Something not on the list"],
  ] as const) {
    if (!(from.shares[c]! > 0)) continue;
    sheet.write([key], { value: rounded(shares[c]!), source });
    view(c, { id, name, group: id });
  }

  const raised = space.catalog.causes.map((cause, c) => writeRate(sheet, learned, cause, c));
  const weights = weightsOf(start, fitted.figures, from, raised);
  space.catalog.causes.forEach((cause, c) => {
    if (!(from.shares[c]! > 0)) {
      if (tally.tickets[c]! > 0)
        sheet.warnings.push(
          `${cause.id}: confirmed on ${tally.tickets[c]}, but a usual machine cannot have it: its share stays 0`,
        );
      return;
    }
    if (raised[c] === null) {
      const factor = { value: rounded(weights[c]!), knowledge: rounded(1 / spread[c]!) };
      sheet.write(["causes", cause.id, "weight"], { ...factor, source });
    }
    view(c, cause);
  });
}

/** w_c. @param raised  what a rate that was learned multiplies the odds by; null where it was not */
function weightsOf(
  { space, chances, weight }: Start,
  after: Figures,
  before: Figures,
  raised: readonly (number | null)[],
): number[] {
  const E = space.events.length;
  const { rate } = after.events;
  const [odds, oddsBefore] = [after, before].map(({ events }) =>
    chances.map((places, c) => oddsOverall(places, events.brings.subarray(c * E, (c + 1) * E), rate)),
  );
  const listed = chances.map((_, c) => c).filter((c) => after.shares[c]! > 0);
  const byRate = listed.filter((c) => raised[c] !== null);
  const anchors = byRate.length > 0 ? byRate : listed;
  const sum = (of: (c: number) => number) => anchors.reduce((total, c) => total + of(c), 0);
  const scale = sum((c) => weight[c]! * oddsBefore![c]! * (raised[c] ?? 1)) / sum((c) => after.shares[c]!);
  return chances.map((_, c) => (scale * after.shares[c]!) / odds![c]!);
}

/** Learns the rate where unit-years are known. @returns what its odds are multiplied by, or null */
function writeRate(
  sheet: Sheet,
  { fitted, tally, source }: Learned,
  cause: CauseTemplate,
  c: number,
): number | null {
  const { id, rate, shape } = cause;
  const years = tally.years[c]!;
  if (!(years > 0) || rate === undefined) return null;
  if (numberOf(shape ?? 1) !== 1) {
    sheet.warnings.push(`${id}: found ${years} unit-years, but it wears with age; learned by its share`);
    return null;
  }
  const prior = gammaPrior(rate);
  const [alpha, beta] = prior.spread ? [prior.alpha, prior.beta] : [10, 10 / prior.mean];
  const [tickets, known] = [fitted.counts.tickets[c]!, fitted.known.tickets[c]!];
  const [before, after] = [rateAfter(alpha, beta, 0, 0), rateAfter(alpha, beta, tickets, years, known)];
  const figure = { failures: rounded(after.alpha), unitYears: rounded(after.beta) };
  sheet.write(["causes", id, "rate"], { ...figure, source });
  sheet.view(cause, {
    ...{ figure: "failures a year", about: null, tickets },
    before: rangedOf(before),
    after: rangedOf(after),
  });
  return after.value / before.value;
}
