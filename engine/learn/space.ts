/**
 * What a past ticket can name: the causes of a catalog, `none` and `unlisted` beside them, its stages, events and repairs.
 * Everything that is counted is counted by index into these lists.
 */
import type { Catalog } from "../catalog/schema.js";

export const NONE = "none";
export const UNLISTED = "unlisted";

/** A repair that takes longer, in minutes, is none; a machine that is older, in years, neither. */
export const MOST_MINUTES = 100_000;
export const MOST_YEARS = 100;

export interface Space {
  catalog: Catalog;
  /** template ids, then `none`, then `unlisted`; length C */
  causes: string[];
  none: number;
  unlisted: number;
  /** in the order the machine passes them; length S */
  stages: string[];
  events: string[];
  repairs: string[];
}

export function spaceOf(catalog: Catalog): Space {
  const templates = catalog.causes.map((c) => c.id);
  return {
    catalog,
    causes: [...templates, NONE, UNLISTED],
    none: templates.length,
    unlisted: templates.length + 1,
    stages: catalog.stages.map((s) => s.id),
    events: (catalog.events ?? []).map((e) => e.id),
    repairs: (catalog.repairs ?? []).map((r) => r.id),
  };
}

/** Starts of one ticket: nobody counts further, and a pair of counts below a million is one number (fit/mixture.ts). */
export const MOST_STARTS = 999_999;

/** One closed ticket as a row of a table tells it. */
export interface PastTicket {
  /** index of the confirmed cause; −1 where none was ever confirmed */
  cause: number;
  /** it was confirmed only because the fault showed, so a quiet one would not be here */
  onlyShown: boolean;
  /** starts as it came in, before the first repair, and how many of them stopped; −1 where nobody counted */
  starts: number;
  stops: number;
  /** stops by stage, as far as told: pairs of stage and number */
  at: [stage: number, number: number][];
  /** what had happened before the complaint, rising; null where the table does not tell */
  events: number[] | null;
  /** −1 where none was told */
  repair: number;
  /** −1 where it was not told whether the repair cured it */
  cured: -1 | 0 | 1;
  /** labour minutes of the repair; NaN where not told */
  minutes: number;
  /** day it was closed, ISO 8601; empty where not told */
  closed: string;
  /** NaN where not told */
  age: number;
}
