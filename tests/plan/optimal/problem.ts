/**
 * Random small problems whose optimum can be computed: a ticket with its catalog, in the engine's formats, and the same
 * world in plain arrays. All figures are invented.
 *
 * A machine of two parts with four to six causes between them, one of them at work or none; a setting and a condition decide
 * how much of each cause a start exposes. Rates are known, nothing leaks, everything that can be wrong is listed.
 */
import type { Catalog } from "../../../engine/catalog/schema.js";
import type { Ticket } from "../../../engine/ticket/schema.js";
import { figuresOf, PARTS, type Cause, type Figures } from "./figures.js";
import type { World } from "./world.js";

export interface Problem {
  seed: number;
  ticket: Ticket;
  world: World;
}

/** The customer's use, in the setting it came with and the default condition: one start a day for 30 days. */
const STARTS = 30;
const STAGES = ["dark", "halt"];

export function problemOf(seed: number): Problem {
  const figures = figuresOf(seed);
  return { seed, ticket: ticketOf(seed, figures), world: worldOf(figures) };
}

// as the engine reads it

const SETTINGS = ["usual", "reduced", "bypass"];
const CONDITIONS = ["warm", "cold"];
const named = (...ids: string[]) => ids.map((id) => ({ id, name: id }));

function ticketOf(seed: number, figures: Figures): Ticket {
  return {
    format: "fitful/ticket@1",
    id: `small-${seed}`,
    title: `Small problem ${seed}`,
    catalog: catalogOf(figures),
    machine: {
      ageYears: 3,
      parts: PARTS.map((id) => ({ id: `${id}-1`, kind: id, position: `${id}-place` })),
      events: [{ event: "began", yearsBefore: 0 }],
    },
    terms: { comeback: figures.prices.comeback, worth: figures.prices.returned },
    release: { perDay: 1, days: STARTS },
    options: { maxCauses: 1, draws: 0 },
    entries: [],
  };
}

function catalogOf(figures: Figures): Catalog {
  const { causes, looks, settings, waits } = figures;
  return {
    format: "fitful/catalog@1",
    id: "ticket-printer",
    version: "1",
    name: "Ticket printer",
    stages: named(...STAGES),
    leak: { chance: 0, signature: { dark: 1 } },
    nothingWrong: figures.nothingWrong,
    unlisted: 0,
    events: [{ id: "began", name: "began", windowYears: 1 }],
    parts: PARTS.map((id) => ({ id, name: id, insert: 5, remove: 5 })),
    positions: PARTS.map((id) => ({
      id: `${id}-place`,
      name: id,
      kind: `${id}-place`,
      accepts: id,
      needed: true,
    })),
    settings:
      settings < 2
        ? []
        : [
            {
              id: "path",
              name: "path",
              values: named(...SETTINGS.slice(0, settings)),
              default: SETTINGS[0]!,
              minutes: figures.settingMinutes,
            },
          ],
    conditions: waits.length < 2 ? [] : [restOf(waits)],
    trialMinutes: figures.trialMinutes,
    labourPerHour: figures.prices.labourPerHour,
    causes: causes.map((c) => ({
      id: c.id,
      name: c.id,
      group: "part",
      per: { part: PARTS[c.part]! },
      events: { began: c.chance },
      intermittency: { fixed: c.rate },
      signature: { dark: c.dark, halt: 1 - c.dark },
      exposure: expressionOf(c.exposure),
    })),
    findings: looks.map((look, k) => ({
      id: `look-${k + 1}`,
      name: `look ${k + 1}`,
      on: { part: PARTS[look.part]! },
      values: named("seen", "nothing"),
      base: { seen: look.base },
      causes: Object.fromEntries([...look.shows].map(([i, p]) => [causes[i]!.id, { seen: p }])),
      minutes: look.minutes,
    })),
    repairs: causes.map((c, k) => ({
      id: `repair-${k + 1}`,
      name: `repair ${k + 1}`,
      on: { part: PARTS[c.part]! },
      clears: { [c.id]: c.repair.efficacy },
      minutes: c.repair.minutes,
      cost: c.repair.money,
    })),
  };
}

const restOf = (waits: readonly number[]): NonNullable<Catalog["conditions"]>[number] => ({
  id: "rest",
  name: "rest",
  default: CONDITIONS[0]!,
  classes: [
    { id: CONDITIONS[0]!, name: "warm", from: 0, typical: 5 },
    { id: CONDITIONS[1]!, name: "cold", from: 60, typical: 240, wait: waits[1]! },
  ],
});

/** Nested questions: which setting, and in it which condition. */
function expressionOf(exposure: readonly number[][]): string {
  const byCondition = exposure.map(([warm, cold]) =>
    cold === undefined ? `${warm}` : `(is("rest","cold") ? ${cold} : ${warm})`,
  );
  return byCondition.reduceRight((rest, own, k) => `(is("path","${SETTINGS[k]}") ? ${own} : ${rest})`);
}

// in plain arrays

function worldOf(figures: Figures): World {
  const { prices, causes, looks, nothingWrong } = figures;
  const perMinute = prices.labourPerHour / 60;
  const odds = causes.map((c) => c.chance / (1 - c.chance));
  const all = odds.reduce((sum, o) => sum + o, 0);
  const shows = (c: Cause, setting: number, condition: number) =>
    1 - (1 - c.rate) ** c.exposure[setting]![condition]!;
  return {
    prior: [nothingWrong, ...odds.map((o) => ((1 - nothingWrong) * o) / all)],
    findings: looks.map(({ minutes, part, base, shows: by }) => {
      const seen = [base, ...causes.map((_, i) => 1 - (1 - base) * (1 - (by.get(i) ?? 0)))];
      return { cost: minutes * perMinute, part, chance: seen.map((p) => [p, 1 - p]) };
    }),
    starts: Array.from({ length: figures.settings }, (_, setting) =>
      figures.waits.map((_, condition) => [
        [0, 0, 1],
        ...causes.map((c) => {
          const q = shows(c, setting, condition);
          return [q * c.dark, q * (1 - c.dark), 1 - q];
        }),
      ]),
    ),
    startCost: figures.waits.map((wait) => (figures.trialMinutes + wait) * perMinute),
    changeCost: figures.settingMinutes * perMinute,
    repairs: causes.map(({ part, repair }, k) => ({
      cost: repair.minutes * perMinute + repair.money,
      part,
      cures: [0, ...causes.map((_, i) => (i === k ? repair.efficacy : 0))],
    })),
    comeback: [
      0,
      ...causes.map((c) => (prices.comeback + prices.returned) * (1 - (1 - shows(c, 0, 0)) ** STARTS)),
    ],
    returned: prices.returned,
  };
}
