/**
 * The machine back at its owner's: how it is set up there, and how often it is started.
 *
 * Parts as they are now fitted, the settings and whatever stands outside as they were when it came in. Two readings of
 * ours: a setting that a repair has set stays as it is now, for a repair is meant to last; and what is replugged on the
 * way home is not counted as cured.
 * Source: project model, section 10.
 */
import { numberOf } from "../catalog/figures.js";
import type { Catalog, Release } from "../catalog/schema.js";
import { startConditions, type Place } from "../belief/compile.js";
import { exposuresOf, type Model } from "../belief/model.js";
import type { Entry, Ticket } from "../ticket/schema.js";
import { intakeSetup, isHere, OWN, setupKey, type Setup } from "../ticket/setup.js";

export interface ReleaseTerms {
  /** starts a day under each of these conditions: condition id → class id */
  use: { conditions: Record<string, string>; perDay: number }[];
  days: number;
  /** chance of a comeback that is low enough */
  limit: number;
}

const DEFAULTS = { perDay: 1, days: 30, limit: 0.05 };

/** The ticket's terms, else the catalog's, else the defaults, each by itself. */
export function releaseTerms(catalog: Catalog, ticket: Ticket): ReleaseTerms {
  const stated = <K extends keyof Release>(key: K) => ticket.release?.[key] ?? catalog.release?.[key];
  const perDay = stated("perDay") ?? DEFAULTS.perDay;
  return {
    use: typeof perDay === "number" ? [{ conditions: {}, perDay }] : perDay,
    days: stated("days") ?? DEFAULTS.days,
    limit: numberOf(stated("limit") ?? DEFAULTS.limit),
  };
}

/** The setup at the owner's. A part that is being tried elsewhere goes back where it came in, if that is free. */
export function homeSetup(model: Model, { setup }: Place, entries: readonly Entry[]): Setup {
  const intake = intakeSetup(model);
  const fit = { ...setup.fit };
  for (const [position, part] of Object.entries(intake.fit))
    if (part !== null && fit[position] === null && Object.values(setup.guest).includes(part))
      fit[position] = part;
  const settings = { ...intake.settings };
  for (const id of setByRepairs(model, entries)) settings[id] = setup.settings[id] ?? settings[id]!;
  return { in: OWN, fit, guest: {}, settings };
}

/** Arrangements in which a repair can be proved: nothing left out that came with it, set as it is now or as at home. */
export function readySetups(model: Model, place: Place, entries: readonly Entry[]): Setup[] {
  const home = homeSetup(model, place, entries);
  const fit = { ...home.fit };
  const used = new Set(Object.values(fit));
  const isBack = (id: string) =>
    !used.has(id) && model.ticket.machine.parts.some((p) => p.id === id && isHere(p));
  for (const [position, part] of Object.entries(intakeSetup(model).fit))
    if (part !== null && fit[position] === null && isBack(part)) fit[position] = part;
  const setups = [place.setup.settings, home.settings].map((settings) => ({ ...home, fit, settings }));
  return JSON.stringify(setups[0]) === JSON.stringify(setups[1]) ? setups.slice(1) : setups;
}

function setByRepairs({ catalog }: Model, entries: readonly Entry[]): Set<string> {
  const done = new Set(entries.flatMap((entry) => (entry.kind === "repair" ? [entry.repair] : [])));
  const repairs = (catalog.repairs ?? []).filter((repair) => done.has(repair.id));
  return new Set(repairs.flatMap((repair) => Object.keys(repair.sets ?? {})));
}

/** All starts at the owner's in the days that count. */
export interface HomeUse {
  /** (1 − r)^exposure is the chance that a cause is quiet in all of them; length C */
  exposure: Float64Array;
  /** what `unlisted` takes for the setups there, and how many starts in each */
  starts: Map<string, number>;
}

export function homeUse(model: Model, place: Place, setup: Setup, { use, days }: ReleaseTerms): HomeUse {
  const exposure = new Float64Array(model.causes.length);
  const starts = new Map<string, number>();
  for (const { conditions, perDay } of use) {
    const minutes = startConditions(model, conditions);
    const number = perDay * days;
    exposuresOf(model, setup, minutes).forEach((e, i) => (exposure[i] = exposure[i]! + number * e));
    const key = setupKey(setup, minutes, place.repairs, model);
    starts.set(key, (starts.get(key) ?? 0) + number);
  }
  return { exposure, starts };
}
