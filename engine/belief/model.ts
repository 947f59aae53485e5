/**
 * The model of one ticket: its causes, hypotheses and priors. Everything a belief needs that no entry changes.
 */
import type { Catalog } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import { expand, signatureOf, type Cause, type Parameter } from "../catalog/expand.js";
import type { Ticket } from "../ticket/schema.js";
import { exposureOf, fittedNow, type Bench, type Setup } from "../ticket/setup.js";
import { enumerateSets, priorWeights, type PriorWeights, type Sets } from "./sets.js";
import { outcomeTable, stagesOf, type Stages } from "./outcomes.js";

export interface Model extends Bench {
  causes: Cause[];
  parameters: Parameter[];
  sets: Sets;
  prior: PriorWeights;
  stages: Stages;
  /** ids of the outcomes in order, `clean` last */
  outcomeIds: string[];
  /** exposures asked for so far, by setup and minutes: expressions are slow and setups few */
  exposures: Map<string, Float64Array>;
  /** chances of outcomes by which of these causes show; made once for each set of them */
  table(shown: readonly number[]): Float64Array;
}

export const CLEAN = "clean";
const MAX_CAUSES = 2;

export function modelOf(catalog: Catalog, ticket: Ticket): Model {
  const { causes, parameters } = expand(catalog, ticket);
  const sets = enumerateSets(causes.length, Math.min(ticket.options?.maxCauses ?? MAX_CAUSES, causes.length));
  const odds = Float64Array.from(causes, (c) => c.chance / (1 - c.chance));
  const stages = stagesOf(
    numberOf(catalog.leak.chance),
    signatureOf(catalog.leak.signature, catalog),
    causes.map((c) => c.signature),
  );
  return {
    catalog,
    ticket,
    causes,
    parameters,
    sets,
    prior: priorWeights(sets, odds, numberOf(catalog.nothingWrong), numberOf(catalog.unlisted)),
    stages,
    outcomeIds: [...catalog.stages.map((s) => s.id), CLEAN],
    exposures: new Map(),
    table: tablesOf(stages, causes.length),
  };
}

function tablesOf(stages: Stages, causes: number): Model["table"] {
  const known = new Map<number, Float64Array>();
  return (shown) => {
    let key = 0;
    for (const i of shown) key = key * (causes + 1) + i + 1;
    let table = known.get(key);
    if (!table) known.set(key, (table = outcomeTable(stages, shown)));
    return table;
  };
}

/**
 * Exposure of every cause in a setup.
 * @param minutes  of each condition
 * @throws {ExposureError} where an expression gives no number of at least 0
 */
export function exposuresOf(model: Model, setup: Setup, minutes: Record<string, number>): Float64Array {
  const key = JSON.stringify([setup, minutes]);
  let exposures = model.exposures.get(key);
  if (!exposures) {
    exposures = Float64Array.from(model.causes, (cause) => {
      const e = exposureOf(cause, setup, minutes, model);
      if (e >= 0 && e < Infinity) return e;
      throw new ExposureError(cause.template, e, { ...fittedNow(setup), ...setup.settings, ...minutes });
    });
    model.exposures.set(key, exposures);
  }
  return exposures;
}

export class ExposureError extends RangeError {
  constructor(
    readonly template: string,
    readonly found: number,
    readonly setup: Record<string, unknown>,
  ) {
    super(`exposure of ${template}: found ${found}, expected a finite number of at least 0`);
  }
}
