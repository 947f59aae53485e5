/**
 * The same machine worked twice, by technicians whose catalogs differ: what the one saves beside the other.
 *
 * What was wrong with the machine is given, as a closed ticket confirmed it, and how many of its starts stopped. How often the
 * fault shows is drawn from what that says, and how it behaves, by the toss of a coin from the one catalog or the other, so
 * that neither technician is at home. Age, settings, the owner's word and all other luck are those of the race.
 */
import { modelOf, type Model } from "../belief/model.js";
import type { Catalog } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import type { RatePrior } from "../catalog/expand.js";
import type { Ticket } from "../ticket/schema.js";
import { intakeSetup } from "../ticket/setup.js";
import { intakeTicket } from "./intake.js";
import type { Pair } from "./pairedFigures.js";
import { PRICES } from "./prices.js";
import { strategyOf } from "./race.js";
import { shopOf, type Shop } from "./shop.js";
import { drawBeta, drawIndex, seedOf, streamOf, type Uniform } from "./streams.js";
import type { Truth } from "./truth.js";
import { workTicket } from "./work.js";
import { arrivalOf } from "./worlds.js";

/** A closed ticket whose cause is known. */
export interface Confirmed {
  /** id of a cause of the catalog, `none` or `unlisted` */
  cause: string;
  /** starts before the first repair, and how many stopped; −1 where nobody counted */
  starts: number;
  stops: number;
  /** what had happened before, ids; null where it was not told */
  events: readonly string[] | null;
}

/** @returns null where a usual machine cannot have the cause */
export function workedTwice(
  catalogs: readonly [before: Catalog, after: Catalog],
  confirmed: Confirmed,
  strategy: string,
  seed: number,
): Pair | null {
  const shop = shopOf(catalogs[0]);
  const drawn = ticketOf(catalogs[0], shop, confirmed, streamOf(seed, "intake"));
  const luck = streamOf(seed, "truth");
  const models = catalogs.map((catalog) => modelOf(catalog, drawn));
  const truth = truthOf(models[luck() < 0.5 ? 0 : 1]!, confirmed, luck);
  if (truth === null) return null;
  const [before, after] = models.map((model) =>
    workTicket(arrivalOf(truth, model, shop, seed), strategyOf(strategy), shop, PRICES),
  );
  return [before!, after!];
}

function ticketOf(catalog: Catalog, shop: Shop, { events }: Confirmed, luck: Uniform): Ticket {
  const drawn = intakeTicket(catalog, shop, "left-out", { maxCauses: 1, prices: PRICES }, luck);
  if (events === null) return drawn;
  const known = (catalog.events ?? []).filter(({ id }) => events.includes(id));
  const told = known.map((e) => ({ event: e.id, yearsBefore: luck() * numberOf(e.windowYears) }));
  return { ...drawn, machine: { ...drawn.machine, events: told } };
}

function truthOf(model: Model, confirmed: Confirmed, luck: Uniform): Truth | null {
  const at = drawIndexOf(model, confirmed.cause, luck);
  if (at === null) return null;
  const isListed = at >= 0;
  return {
    model,
    causes: isListed ? [at] : [],
    rates: isListed ? [rateGiven(model.causes[at]!.rate, confirmed, luck)] : [],
    unlisted: confirmed.cause === "unlisted" ? (luck() < 0.5 ? "alike" : "apart") : null,
    drift: 0,
    relapse: 0,
  };
}

/** Which of the places where the cause can be, by its chance there; −1 for a cause that is on no list, null for none left. */
function drawIndexOf(model: Model, cause: string, luck: Uniform): number | null {
  if (cause === "none" || cause === "unlisted") return -1;
  const fitted = new Set(Object.values(intakeSetup(model).fit));
  const weights = model.causes.map(({ template, part, chance }) =>
    template === cause && (part === null || fitted.has(part)) ? chance : 0,
  );
  return weights.some((w) => w > 0) ? drawIndex(weights, luck()) : null;
}

/** r after k of n starts stopped: hard still where every one did, else Beta(a + k, b + n − k). */
function rateGiven(prior: RatePrior, { starts, stops }: Confirmed, luck: Uniform): number {
  const [first, second] = [luck(), luck()];
  if ("fixed" in prior) return prior.fixed;
  const [k, n] = starts > 0 ? [stops, starts] : [0, 0];
  const { hard, a, b } = prior;
  let soft = 1 - hard; // times ∏ (a + j)/(a + b + j) where all n stopped: the chance of that
  for (let j = 0; j < n; j++) soft *= (a + j) / (a + b + j);
  const isHard = k === n && first < hard / (hard + soft);
  return isHard ? 1 : drawBeta(a + k, b + n - k, second);
}

/** The luck of the k-th ticket. */
export const pairSeed = (k: number): number => seedOf(1, `left out ${k}`);
