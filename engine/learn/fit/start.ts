/**
 * What the catalog says, in the terms in which past tickets speak: how often each cause would be what brought a usual machine
 * in, and how events before the complaint change that.
 *
 * A cause c has the odds o_c(E) = w Σ p/(1 − p) over the places of the usual machine where it can be, with the chances that
 * the events E add. Events are taken one at a time: with r_e the share of machines that an event came before,
 *   A_c = o_c + Σ_e r_e (o_c(e) − o_c)      its odds over all machines; shares are in proportion to A
 *   P(e | c) = r_e o_c(e) / (r_e o_c(e) + (1 − r_e) o_c)
 */
import { chanceOf, expand } from "../../catalog/expand.js";
import { betaPrior, gammaPrior, numberOf } from "../../catalog/figures.js";
import { TICKET_FORMAT, type Ticket } from "../../ticket/schema.js";
import type { Space } from "../space.js";

export interface Start {
  space: Space;
  /** chances, by cause, of each place where it can be, without events; the weight is not in them */
  chances: number[][];
  /** factor on the odds; length T */
  weight: Float64Array;
  /** chance that an event brings the cause in, and its Beta; T × E, null where the catalog gives none */
  brings: ({ q: number; alpha: number; beta: number } | null)[];
  /** failures' worth of knowledge in the catalog's rates: how many tickets it is worth */
  worth: number;
}

/** Years of a machine where no ticket tells its age (judgement). */
const USUAL_AGE = 5;
/** Knowledge of a chance that the catalog gives without any (judgement). */
const KNOWLEDGE = 20;

export function startOf(space: Space, age = USUAL_AGE): Start {
  const { catalog } = space;
  const quiet = chancesOf(space, usualTicket(space, age, false));
  const eventful = chancesOf(space, usualTicket(space, age, true));
  const brings = catalog.causes.flatMap(({ events = {} }) =>
    space.events.map((e) => {
      const figure = Object.hasOwn(events, e) ? events[e] : undefined;
      if (figure === undefined) return null;
      const { mean, alpha, beta, spread } = betaPrior(figure);
      if (mean <= 0 || mean >= 1) return null;
      return spread
        ? { q: mean, alpha, beta }
        : { q: mean, alpha: mean * KNOWLEDGE, beta: (1 - mean) * KNOWLEDGE };
    }),
  );
  return {
    space,
    chances: catalog.causes.map(({ id }) =>
      // a place whose cause only an event brings in has no chance without one
      [...(eventful.get(id)?.keys() ?? [])].map((place) => quiet.get(id)?.get(place) ?? 0),
    ),
    weight: Float64Array.from(catalog.causes, (c) => (c.weight === undefined ? 1 : numberOf(c.weight))),
    brings,
    worth: catalog.causes.reduce((sum, c) => sum + (c.rate === undefined ? 0 : knowledgeOf(c.rate)), 0) || 10,
  };
}

const knowledgeOf = (rate: Parameters<typeof gammaPrior>[0]): number => {
  const { alpha, spread } = gammaPrior(rate);
  return spread ? alpha : 10; // a rate given as exact holds as much as ten failures would (judgement)
};

/** Chance by template and concrete cause, the weight left out. */
function chancesOf({ catalog }: Space, ticket: Ticket): Map<string, Map<string, number>> {
  const { causes, parameters } = expand(catalog, ticket);
  const means = Float64Array.from(parameters, (p) => p.prior.mean);
  const byTemplate = new Map<string, Map<string, number>>();
  for (const { id, template, recipe } of causes) {
    const places = byTemplate.get(template) ?? new Map<string, number>();
    places.set(id, chanceOf({ ...recipe, weight: null }, means));
    byTemplate.set(template, places);
  }
  return byTemplate;
}

/** The catalog's usual machine, or one with a part in every position. */
export function usualTicket({ catalog }: Space, ageYears: number, eventful: boolean): Ticket {
  const parts =
    catalog.machine?.parts ??
    catalog.positions.map((p) => ({ id: `${p.id}-part`, kind: p.accepts, position: p.id }));
  const events = (catalog.events ?? []).map(({ id }) => ({ event: id, yearsBefore: 0 }));
  return {
    format: TICKET_FORMAT,
    id: "usual",
    title: "usual machine",
    catalog: catalog.id,
    machine: { ageYears, parts, ...(eventful && { events }) },
    entries: [],
  };
}

/** o_c with one event of chance q (0: none), w = 1. */
export const oddsWith = (chances: readonly number[], q: number): number =>
  chances.reduce((sum, p) => sum + (p + q - p * q) / ((1 - p) * (1 - q)), 0);

/** P(e | c) for an event that comes before a share r of all machines. */
export function eventGiven(chances: readonly number[], q: number, r: number): number {
  const [quiet, after] = [oddsWith(chances, 0), oddsWith(chances, q)];
  return (r * after) / (r * after + (1 - r) * quiet);
}

/**
 * A_c / w: odds over all machines.
 * @param rate  r_e, length E
 * @param q     chance that each event brings this cause in, length E; NaN where it does not
 */
export function oddsOverall(
  chances: readonly number[],
  q: ArrayLike<number>,
  rate: ArrayLike<number>,
): number {
  const quiet = oddsWith(chances, 0);
  let odds = quiet;
  for (let e = 0; e < rate.length; e++) if (q[e]! > 0) odds += rate[e]! * (oddsWith(chances, q[e]!) - quiet);
  return odds;
}
