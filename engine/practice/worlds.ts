/**
 * Worlds: what the machines are really like, beside what the technician's catalog says of them.
 */
import type { Catalog, CauseTemplate } from "../catalog/schema.js";
import { modelOf, type Model } from "../belief/model.js";
import { startState, step } from "../belief/fold.js";
import type { Entry, Ticket } from "../ticket/schema.js";
import type { Arrival } from "./bench.js";
import { intakeTicket } from "./intake.js";
import { alter, deliveredMachine, start, type Machine } from "./machine.js";
import type { Prices } from "./prices.js";
import { otherTruth } from "./otherWorld.js";
import { customersUse, type Shop } from "./shop.js";
import { drawIndex, seedOf, streamOf, Streams, type Uniform } from "./streams.js";
import { drawTruth, type Truth } from "./truth.js";

export const WORLDS = {
  own: "machines as the catalog says",
  wrong: "every rate of the catalog wrong, up or down, by a factor",
  missing: "the cause is not in the technician's catalog",
  other: "rates that drift, other signatures, causes that are not listed, rates wrong by a factor",
} as const;
export type WorldId = keyof typeof WORLDS;

export const hasWrongRates = (id: WorldId): boolean => id === "wrong" || id === "other";
export const worldWords = (id: WorldId, wrongBy: number): string =>
  WORLDS[id] + (hasWrongRates(id) ? ` of ${wrongBy}` : "");

/** Faults at once that a machine may have, whatever the technician considers. */
const TRULY = 2;

interface Terms {
  /** faults at once that the technician's belief considers */
  maxCauses: number;
  prices: Prices;
  /** factor of the rates, in worlds where they are wrong; at least 1 */
  wrongBy: number;
}

/** Makes tickets one after the other; the k-th is the same whichever strategies work it. */
export class World {
  private readonly truly: Catalog;
  private readonly exposures = new Map<string, Model["exposures"]>();

  constructor(
    private readonly catalog: Catalog,
    private readonly shop: Shop,
    private readonly id: WorldId,
    private readonly seed: number,
    private readonly terms: Terms,
  ) {
    // one perturbation for the whole race: drawn anew for every ticket, it would average out
    const luck = streamOf(seed, "priors");
    this.truly = hasWrongRates(id) ? wrongBy(catalog, terms.wrongBy, luck) : catalog;
  }

  arrival(k: number): Arrival {
    const seed = seedOf(this.seed, `ticket ${k}`);
    const ticket = intakeTicket(this.catalog, this.shop, `sim-${k}`, this.terms, streamOf(seed, "intake"));
    const truth = this.truthOf(ticket, seed);
    const missing = this.id === "missing" ? templateLeftOut(truth, streamOf(seed, "missing")) : null;
    const model = this.model(missing === null ? this.catalog : without(this.catalog, missing), ticket);
    return arrivalOf(truth, model, this.shop, seed);
  }

  private truthOf(ticket: Ticket, seed: number): Truth {
    const model = this.model(this.truly, { ...ticket, options: { ...ticket.options, maxCauses: TRULY } });
    const luck = streamOf(seed, "truth");
    return this.id === "other" ? otherTruth(model, luck) : drawTruth(model, luck);
  }

  /** Exposures depend on the catalog and on what parts there are, which every ticket shares: kept for all of them. */
  private model(catalog: Catalog, ticket: Ticket): Model {
    const model = modelOf(catalog, ticket);
    const key = model.causes.map((c) => c.id).join();
    const exposures = this.exposures.get(key) ?? model.exposures;
    this.exposures.set(key, exposures);
    return { ...model, exposures };
  }
}

/** The owner's word, the way to the bench. */
export function arrivalOf(truth: Truth, model: Model, shop: Shop, seed: number): Arrival {
  const luck = new Streams(seedOf(seed, "arrival"));
  const told = owner(deliveredMachine(truth), shop, luck, seed);
  const entries: Entry[] = [{ kind: "intake", id: "e1" }, told.entry];
  let { machine } = told;
  if (Object.keys(shop.bench).length > 0) {
    const toBench = { kind: "change", id: "e3", settings: shop.bench } as const;
    machine = alter(machine, toBench, luck);
    entries.push(toBench);
  }
  const ticket = { ...model.ticket, entries };
  const before = startState(model, entries);
  return { seed, machine, ticket, state: entries.reduce(step, before) };
}

/** What the owner tells of the last starts, in the way the machine is used. */
function owner(
  machine: Machine,
  shop: Shop,
  luck: Streams,
  seed: number,
): { machine: Machine; entry: Entry } {
  const { catalog, outcomeIds } = machine.truth.model;
  const conditions = customersUse(catalog);
  const [fewest, most] = shop.told;
  const starts = fewest + Math.floor((most - fewest + 1) * luck.of("told")());
  const counts = new Map<number, number>();
  let now = machine;
  for (let k = 0; k < starts; k++) {
    const made = start(now, conditions, luck.of("owner"), seed);
    now = made.machine;
    counts.set(made.outcome, (counts.get(made.outcome) ?? 0) + 1);
  }
  const trials = [...counts].map(([outcome, n]) => ({ outcome: outcomeIds[outcome]!, n }));
  return { machine: now, entry: { kind: "starts", id: "e2", by: "owner", conditions, trials } };
}

// catalogs that are wrong

/** Every rate, event and spare chance of a template multiplied or divided by the factor, by the toss of a coin. */
export function wrongBy(catalog: Catalog, factor: number, luck: Uniform): Catalog {
  return { ...catalog, causes: catalog.causes.map((c) => scaled(c, luck() < 0.5 ? factor : 1 / factor)) };
}

function scaled(template: CauseTemplate, by: number): CauseTemplate {
  const chance = <T>(figure: T): T => scaledFigure(figure, by, 0.9);
  return {
    ...template,
    ...(template.rate !== undefined && { rate: scaledFigure(template.rate, by, Infinity) }),
    ...(template.spare !== undefined && { spare: chance(template.spare) }),
    ...(template.events && {
      events: Object.fromEntries(Object.entries(template.events).map(([id, figure]) => [id, chance(figure)])),
    }),
  };
}

/** A figure in any of its forms, times `by`, at most `most`. */
function scaledFigure<T>(figure: T, by: number, most: number): T {
  const times = (x: number) => Math.min(most, x * by);
  if (typeof figure === "number") return times(figure) as T;
  const f = figure as Record<string, number>;
  if ("value" in f) return { ...f, value: times(f.value!) } as T;
  if ("failures" in f) return { ...f, unitYears: f.unitYears! / by } as T;
  return { value: times(f.alpha! / (f.alpha! + f.beta!)) } as T;
}

const without = (catalog: Catalog, template: string): Catalog => ({
  ...catalog,
  causes: catalog.causes.filter((c) => c.id !== template),
});

/** The template of one of the causes, or null where there is none. */
function templateLeftOut({ model, causes }: Truth, luck: Uniform): string | null {
  if (causes.length === 0) return null;
  return model.causes[
    causes[
      drawIndex(
        causes.map(() => 1),
        luck(),
      )
    ]!
  ]!.template;
}
