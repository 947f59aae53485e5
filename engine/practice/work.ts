/**
 * One ticket worked by one strategy, from intake to its end, and what that cost.
 */
import { pricesOf } from "../plan/terms.js";
import { Bench, type Arrival } from "./bench.js";
import { intakeSetup } from "../ticket/setup.js";
import { comebackChance, type Machine } from "./machine.js";
import type { Prices } from "./prices.js";
import type { Shop } from "./shop.js";
import type { Ending, Known, Strategy } from "./strategy.js";
import { streamOf } from "./streams.js";

export type Outcome = "released" | "returned" | "over budget" | "unresolved";

/** A ticket closed. Money in the catalog's currency. */
export interface Worked {
  outcome: Outcome;
  /** labour */
  minutes: number;
  /** parts and materials, and harm done */
  money: number;
  /** parts bought, or fitted for good, in place of one with nothing at work in it */
  wrongParts: number;
  /** released with something at work that stopped the machine again in the customer's hands */
  comeback: boolean;
  /** something that was named had been a cause; where nothing was wrong, nothing was named */
  right: boolean;
  /** minutes at the labour rate, money, and the price of how it ended */
  total: number;
  actions: number;
}

/** A strategy that asks for this many actions would never end. */
const MOST_ACTIONS = 400;

export function workTicket(arrival: Arrival, strategy: Strategy, shop: Shop, prices: Prices): Worked {
  const bench = new Bench(arrival, prices);
  const perMinute = pricesOf(arrival.state.belief.model.catalog, arrival.ticket).minute;
  const working = strategy.work(knownAt(bench, shop, prices));
  let actions = 0;
  let outcome: Outcome | null = null;
  let named: readonly string[] = [];
  for (let next = working.next(knownAt(bench, shop, prices)); outcome === null;) {
    if (next.done) {
      outcome = next.value.kind === "release" ? "released" : "returned";
      named = next.value.named;
      break;
    }
    bench.do(next.value);
    actions++;
    if (bench.minutes > prices.minutes || actions >= MOST_ACTIONS) outcome = "unresolved";
    else if (bench.minutes * perMinute + bench.money > prices.budget) outcome = "over budget";
    else next = working.next(knownAt(bench, shop, prices));
  }
  return closed(arrival, bench, { outcome: outcome!, named, actions }, perMinute, prices);
}

const knownAt = (bench: Bench, shop: Shop, prices: Prices): Known => ({
  ticket: bench.ticket,
  state: bench.state,
  minutes: bench.minutes,
  money: bench.money,
  seen: bench.seen,
  prices,
  shop,
});

function closed(
  { seed }: Arrival,
  bench: Bench,
  { outcome, named, actions }: { outcome: Outcome; named: Ending["named"]; actions: number },
  perMinute: number,
  prices: Prices,
): Worked {
  const { parts, wrong } = bench.settled();
  const money = bench.materials + parts;
  const comeback =
    outcome === "released" &&
    streamOf(seed, "comeback")() < comebackChance(bench.machine, bench.ticket, seed);
  const ending = outcome !== "released" ? prices.returned : comeback ? prices.comeback : 0;
  return {
    outcome,
    minutes: bench.minutes,
    money,
    wrongParts: wrong,
    comeback,
    right: isRight(bench.machine, named),
    total: bench.minutes * perMinute + money + ending,
    actions,
  };
}

/**
 * Was one of the causes named that the machine came in with? A part stands for every cause tied to it; what is wrong with a
 * spare on the shelf is not what was wrong with the machine.
 */
function isRight({ truth }: Machine, named: readonly string[]): boolean {
  if (truth.unlisted !== null) return named.includes(UNLISTED);
  const own = new Set(Object.values(intakeSetup(truth.model).fit));
  const causes = truth.causes
    .map((i) => truth.model.causes[i]!)
    .filter((c) => c.part === null || own.has(c.part));
  if (causes.length === 0) return named.length === 0;
  return causes.some(({ id, part }) => named.includes(id) || (part !== null && named.includes(part)));
}

/** The name of what is on no list. */
export const UNLISTED = "unlisted";
