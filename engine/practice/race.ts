/**
 * The strategy race: many simulated tickets, each worked by every strategy on its own.
 *
 * Rows come one ticket at a time, so that a caller can show progress, stop, or share the tickets out; what they add up to is
 * `raceOf`. Ticket k is the same in every race of the same catalog, world and seed, and meets the same luck whoever works it.
 */
import type { Catalog } from "../catalog/schema.js";
import { raceFigures, type StrategyFigures } from "./figures.js";
import { PRICES, type Prices } from "./prices.js";
import { shopOf } from "./shop.js";
import { STRATEGIES } from "./strategies/index.js";
import { workTicket, type Worked } from "./work.js";
import { World, type WorldId } from "./worlds.js";

export interface RaceOptions {
  tickets: number;
  seed: number;
  world: WorldId;
  /** factor by which rates are wrong in worlds where they are; at least 1 */
  wrongBy: number;
  /** ids of strategies, in the order they are shown */
  strategies: readonly string[];
  /** faults at once that the technician's belief considers */
  maxCauses: number;
  prices?: Partial<Prices>;
}

/** Rates wrong by more than this are asked for by mistake. */
export const MOST_WRONG = 100;

export const RACE: RaceOptions = {
  tickets: 2000,
  seed: 1,
  world: "own",
  wrongBy: 3,
  strategies: STRATEGIES.map((s) => s.id),
  maxCauses: 1,
};

/** One ticket as each strategy ended it, in the order of the strategies. */
export interface Row {
  ticket: number;
  worked: Worked[];
}

export interface Race extends RaceOptions {
  catalog: string;
  prices: Prices;
  figures: StrategyFigures[];
}

/** @param from, stride  tickets from, from + stride, …: every so manieth, for one of several that share the work */
export function* raceRows(catalog: Catalog, options: RaceOptions, from = 0, stride = 1): Generator<Row> {
  const shop = shopOf(catalog);
  const prices = { ...PRICES, ...options.prices };
  const world = new World(catalog, shop, options.world, options.seed, {
    maxCauses: options.maxCauses,
    wrongBy: options.wrongBy,
    prices,
  });
  const racing = options.strategies.map(strategyOf);
  for (let k = from; k < options.tickets; k += stride) {
    const arrival = world.arrival(k);
    yield { ticket: k, worked: racing.map((strategy) => workTicket(arrival, strategy, shop, prices)) };
  }
}

/** @throws {RangeError} where there is no such strategy */
export function strategyOf(id: string) {
  const found = STRATEGIES.find((s) => s.id === id);
  if (found) return found;
  throw new RangeError(`strategies: found ${id}, expected one of ${STRATEGIES.map((s) => s.id).join(", ")}`);
}

export function raceOf(catalog: Catalog, options: RaceOptions, rows: readonly Row[]): Race {
  const sorted = [...rows].sort((x, y) => x.ticket - y.ticket);
  const racing = options.strategies.map(strategyOf);
  const columns = racing.map((strategy, s) => ({
    id: strategy.id,
    name: strategy.name,
    worked: sorted.map((row) => row.worked[s]!),
  }));
  return {
    ...options,
    catalog: catalog.id,
    prices: { ...PRICES, ...options.prices },
    figures: raceFigures(columns, options.seed),
  };
}
