/** What was learned of each cause: what brings it in, how often it shows, where it stops. */
import { betaPrior } from "../../catalog/figures.js";
import type { CauseTemplate } from "../../catalog/schema.js";
import { logistic, pointOf, type Soft } from "../fit/betaBinomial.js";
import { eventIntervals, type ChanceInterval } from "../fit/eventIntervals.js";
import { rateIntervals, type Coordinate, type RateInterval } from "../fit/rateIntervals.js";
import { GROUP_SD, OWN_SD } from "../fit/rates.js";
import { betaFigure } from "../fit/repairs.js";
import { SIGNATURE_WORTH } from "../fit/signatures.js";
import type { Ranged } from "../tuning.js";
import { exactly, FEWEST, rangedOf, rounded, type Learned, type Sheet } from "./sheet.js";

const Z = 1.6448536269514722;
/** How firmly the catalog holds a rate before any ticket. */
const PRIOR_SD = Math.hypot(OWN_SD, GROUP_SD);

export function writeCauses(sheet: Sheet, learned: Learned): void {
  const { start, fitted } = learned;
  const intervals = rateIntervals(start, fitted);
  const { brings } = eventIntervals(start, fitted);
  start.space.catalog.causes.forEach((cause, c) => {
    writeEvents(sheet, learned, cause, c, brings);
    if (fitted.counts.tickets[c]! < FEWEST) return;
    const interval = intervals[c];
    if (interval) writeIntermittency(sheet, learned, cause, c, interval);
    writeSignature(sheet, learned, cause, c);
  });
}

function writeEvents(
  sheet: Sheet,
  { start, fitted, source }: Learned,
  cause: CauseTemplate,
  c: number,
  intervals: readonly (ChanceInterval | null)[],
): void {
  const { id, events = {} } = cause;
  const { counts, figures } = fitted;
  const E = start.space.events.length;
  start.space.events.forEach((event, e) => {
    const at = c * E + e;
    const figure = Object.hasOwn(events, event) ? events[event] : undefined;
    const [q, interval] = [figures.events.brings[at]!, intervals[at]];
    if (figure === undefined || !interval || !(counts.told[c]! >= FEWEST)) return;
    const { low, high, knowledge } = interval;
    const [alpha, beta] = [q * knowledge, (1 - q) * knowledge];
    sheet.write(["causes", id, "events", event], { alpha: rounded(alpha), beta: rounded(beta), source });
    const from = betaPrior(figure);
    sheet.view(cause, {
      ...{ figure: "event", about: event, tickets: counts.events[at]! },
      before: from.spread ? rangedOf(betaFigure(from.alpha, from.beta)) : exactly(from.mean),
      after: { value: q, low, high },
    });
  });
}

function writeIntermittency(
  sheet: Sheet,
  { fitted, source }: Learned,
  cause: CauseTemplate,
  c: number,
  interval: RateInterval,
): void {
  const { id, intermittency } = cause;
  const rate = fitted.figures.rates[c]!;
  const tickets = fitted.counts.starts.ticketsOf(c);
  if ("fixed" in rate || "fixed" in intermittency || tickets < FEWEST) return;
  sheet.write(["causes", id, "intermittency"], { ...roundedSoft(rate), source });
  const [from, at] = [pointOf(intermittency), pointOf(rate, 0)];
  for (const [j, figure] of [
    [0, "hard"],
    [1, "rate"],
  ] as [Coordinate, "hard" | "rate"][])
    // prettier-ignore
    sheet.view(cause, {
      ...{ figure, about: null, tickets },
      before: between(from[j], [from[j] - Z * PRIOR_SD, from[j] + Z * PRIOR_SD]),
      after: between(at[j], interval(j)),
    });
}

function writeSignature(sheet: Sheet, { start, fitted }: Learned, cause: CauseTemplate, c: number): void {
  const { stages } = start.space;
  const S = stages.length;
  const rowOf = (of: Float64Array) => of.subarray(c * S, (c + 1) * S);
  const stops = rowOf(fitted.counts.stops);
  if (stops.reduce((n, x) => n + x, 0) < FEWEST) return;
  const known = rowOf(fitted.known.stops).reduce((n, x) => n + x, SIGNATURE_WORTH);
  const row = rowOf(fitted.figures.signatures);
  sheet.write(["causes", cause.id, "signature"], wholeSignature(stages, row));
  stages.forEach((stage, s) => {
    const from = Object.hasOwn(cause.signature, stage) ? cause.signature[stage]! : 0;
    const beta = (share: number, worth: number) => rangedOf(betaFigure(share * worth, (1 - share) * worth));
    sheet.view(cause, {
      ...{ figure: "stages", about: stage, tickets: stops[s]! },
      before: from > 0 && from < 1 ? beta(from, SIGNATURE_WORTH) : exactly(from),
      after: beta(row[s]!, known),
    });
  });
}

/** Logits as chances. */
const between = (x: number, [low, high]: readonly [number, number]): Ranged => ({
  value: logistic(x),
  low: logistic(low),
  high: logistic(high),
});

const roundedSoft = ({ hard, a, b }: Soft): Soft => ({ hard: rounded(hard), a: rounded(a), b: rounded(b) });

/** Ten-thousandths that add up to 1, the largest taking what rounding leaves. */
function wholeSignature(stages: readonly string[], row: Float64Array): Record<string, number> {
  const parts = Array.from(row, (p) => Math.round(p * 1e4));
  const largest = parts.indexOf(Math.max(...parts));
  parts[largest] = parts[largest]! + 1e4 - parts.reduce((total, p) => total + p, 0);
  return Object.fromEntries(stages.flatMap((stage, s) => (parts[s]! > 0 ? [[stage, parts[s]! / 1e4]] : [])));
}
