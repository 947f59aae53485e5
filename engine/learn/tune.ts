/** The door: tickets gathered, a tuned catalog out, with how it came about and whether it helps. */
import { parseCatalog } from "../ticket/parse.js";
import type { Catalog } from "../catalog/schema.js";
import { fit, type FitOptions } from "./fit/fit.js";
import { startOf } from "./fit/start.js";
import { calibrate, PASSES } from "./score/calibration.js";
import { splitsOf } from "./score/splits.js";
import type { Gathered, Kept } from "./gather.js";
import { tunedFigures } from "./tuned.js";
import { TUNING_FORMAT, type CalibrationView, type ChangeView, type TuningView } from "./tuning.js";
import { withChanges } from "./undo.js";

export interface TuneOptions extends FitOptions {
  /** what is read → column of the table, for the catalog's record of where its figures come from */
  columns?: Record<string, string>;
  /** program and version */
  by?: string;
  /** told how far it has come, 0 to 1 */
  progress?: (share: number) => void;
}

export function tune(gathered: Gathered, options: TuneOptions = {}): TuningView {
  const { space } = gathered;
  const { catalog } = space;
  const progress = options.progress ?? (() => {});
  const material = gathered.all();
  const { tally } = material;
  const [told, years] = tally.ages;
  const start = startOf(space, told > 0 ? years / told : undefined);
  const fitted = fit(start, material, options);
  progress(0.3);
  const calibration = calibrate(start, gathered, options, (share) => progress(0.3 + 0.7 * share));

  const confirmed = Math.round(tally.tickets.reduce((sum, n) => sum + n, 0));
  const tickets = confirmed + tally.unconfirmed;
  const days = tally.first === "" ? "" : `, closed ${tally.first} to ${tally.last}`;
  const source = `past tickets: ${confirmed} confirmed of ${tickets}${days}`;
  const { changes, views, warnings } = tunedFigures(start, fitted, tally, source);
  if (gathered.left > 0)
    warnings.push(`${gathered.left} unconfirmed tickets had no room and were left out of the fit`);
  const verdict = verdictOf(calibration);
  const version = `${catalog.version.split("+")[0]}+${tally.last === "" ? "tuned" : tally.last}`.slice(0, 40);
  const tuned = withChanges(catalog, changes, version, {
    by: options.by ?? "fitful",
    tickets,
    confirmed,
    ...(tally.first !== "" && { first: tally.first, last: tally.last }),
    columns: options.columns ?? {},
    verdict,
  });
  return {
    format: TUNING_FORMAT,
    catalog: { id: catalog.id, version: catalog.version },
    tickets,
    confirmed,
    first: tally.first || null,
    last: tally.last || null,
    changes: views.sort((x, y) => moved(y) - moved(x)),
    passes: fitted.passes,
    calibration,
    recommended: calibration && calibration.helps,
    verdict,
    warnings,
    tuned: checked(tuned),
  };
}

/** Tickets left out, and the catalog that the others teach. */
export interface LeftOut {
  catalog: Catalog;
  tickets: Kept[];
}

/** What calibration asks about, as catalogs: empty where nothing can be left out. */
export function* leftOut(gathered: Gathered, options: FitOptions = {}): Generator<LeftOut> {
  const { catalog } = gathered.space;
  const [told, years] = gathered.all().tally.ages;
  const start = startOf(gathered.space, told > 0 ? years / told : undefined);
  for (const { train, test } of splitsOf(gathered).splits) {
    const material = gathered.of(train);
    const fitted = fit(start, material, { ...options, passes: PASSES });
    const { changes } = tunedFigures(start, fitted, material.tally, "past tickets, some left out");
    const { tickets } = gathered.kept;
    yield {
      catalog: checked(withChanges(catalog, changes, catalog.version, NOTED)),
      tickets: tickets.filter(({ bucket }) => test.has(bucket)),
    };
  }
}

/** A catalog that is only tried out says nothing of itself. */
const NOTED = { by: "fitful", tickets: 0, confirmed: 0, columns: {}, verdict: "Only tried out." };

/** How far a figure moved: chances by their difference, minutes and failures by a share of it. */
function moved({ figure, before, after }: ChangeView): number {
  const by = Math.abs(after.value - before.value);
  return figure === "minutes" || figure === "failures a year" ? (0.1 * by) / before.value : by;
}

function checked(catalog: Catalog): Catalog {
  const parsed = parseCatalog(catalog);
  if ("catalog" in parsed) return catalog;
  throw new RangeError(`tuned catalog: ${parsed.issues.map((i) => i.message).join("; ")}`);
}

function verdictOf(calibration: CalibrationView | null): string {
  if (calibration === null) return "Not tested: too few confirmed tickets can be left out.";
  const { tickets, gain, low, high, helps } = calibration;
  const by = `${signed(gain)} bits a ticket (${signed(low)} to ${signed(high)}) on ${tickets} tickets left out`;
  if (helps) return `It helps: ${by}.`;
  if (high < 0) return `It makes things worse: ${by}. Keep the catalog as it is.`;
  return `It cannot be told to help: ${by}. Keep the catalog as it is.`;
}

const signed = (x: number) => `${x < 0 ? "−" : "+"}${Math.abs(x).toFixed(2)}`;
