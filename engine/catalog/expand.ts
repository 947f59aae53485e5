/**
 * Catalog + machine → the concrete list of causes 1 … C of one ticket, each with its prior chance.
 */
import lnGamma from "@stdlib/math-base-special-gammaln";
import type { Ticket, Part } from "../ticket/schema.js";
import type { Catalog, CauseTemplate } from "./schema.js";
import { betaPrior, gammaPrior, numberOf, type BetaPrior, type GammaPrior } from "./figures.js";
import { compileExposure, type Exposure } from "./exposure.js";

/** r ~ hard·δ(1) + (1 − hard)·Beta(a, b), or a rate known exactly. */
export type RatePrior = { hard: number; a: number; b: number } | { fixed: number };

/** How the prior chance of a cause depends on what redraws vary: one parameter of the catalog each. */
export interface ChanceRecipe {
  /** cumulative-hazard increment is (λ c)^k · spread; null when the cause has no rate here */
  hazard: { parameter: number; shape: number; spread: number } | null;
  /** parameters of chances (events, spare) that act on this cause */
  chances: number[];
  /** parameter of the factor on its odds; null where that is 1 */
  weight: number | null;
}

export interface Cause {
  id: string;
  name: string;
  template: string;
  group: string;
  /** the part it is tied to, or null */
  part: string | null;
  /** the position it is tied to, or null */
  position: string | null;
  /** the donor it stands for, or null */
  donor: string | null;
  /** reseating efficacy, 0 where it is no contact */
  reseat: number;
  /** true for contacts: inserting touches it */
  contact: boolean;
  rate: RatePrior;
  /** σ(s); length S */
  signature: Float64Array;
  exposure: Exposure;
  recipe: ChanceRecipe;
  /** p at the plug-in means, in (0, 1) */
  chance: number;
}

/** A catalog parameter that redraws vary: one draw serves every cause made from it. */
export type Parameter =
  { kind: "rate"; name: string; prior: GammaPrior } | { kind: "chance"; name: string; prior: BetaPrior };

export interface Expansion {
  causes: Cause[];
  parameters: Parameter[];
}

/** The catalog's templates and the ticket's own. */
export const templatesOf = (catalog: Catalog, ticket: Ticket): CauseTemplate[] => [
  ...catalog.causes,
  ...(ticket.causes ?? []),
];

const WINDOW_YEARS = 0.25;

/** @throws {SyntaxError} where an exposure expression is not understood; `check` reports it first */
export function expand(catalog: Catalog, ticket: Ticket): Expansion {
  const parameters = new Parameters();
  const causes: Cause[] = [];
  for (const template of templatesOf(catalog, ticket)) {
    const exposure = compileExposure(
      template.exposure ?? 1,
      (catalog.conditions ?? []).map((c) => c.id),
    );
    for (const place of placesOf(template, catalog, ticket)) {
      const recipe = recipeOf(template, place, catalog, ticket, parameters);
      const chance = chanceOf(recipe, parameters.means());
      if (chance === 0) continue;
      if (!(chance < 1)) throw new ChanceError(template.id);
      causes.push(causeOf(template, place, catalog, exposure, recipe, chance));
    }
  }
  return { causes, parameters: parameters.list };
}

/** A cause that is certain has no odds. */
export class ChanceError extends RangeError {
  constructor(readonly template: string) {
    super(`cause ${template}: found a prior chance of 1, expected less`);
  }
}

interface Place {
  part: Part | null;
  position: string | null;
  donor: string | null;
}

/** Where a template becomes a cause. */
function placesOf(template: CauseTemplate, catalog: Catalog, ticket: Ticket): Place[] {
  const { per } = template;
  if (per === "machine") return [{ part: null, position: null, donor: null }];
  if (per === "donor")
    return (ticket.machine.donors ?? []).map((d) => ({ part: null, position: null, donor: d.id }));
  if ("part" in per)
    return ticket.machine.parts
      .filter((p) => p.kind === per.part)
      .map((part) => ({ part, position: null, donor: null }));
  return catalog.positions
    .filter((p) => p.kind === per.position)
    .flatMap((p): Place[] =>
      p.on === undefined
        ? [{ part: null, position: p.id, donor: null }]
        : ticket.machine.parts
            .filter((carrier) => carrier.kind === p.on)
            .map((part) => ({ part, position: p.id, donor: null })),
    );
}

function causeOf(
  template: CauseTemplate,
  place: Place,
  catalog: Catalog,
  exposure: Exposure,
  recipe: ChanceRecipe,
  chance: number,
): Cause {
  const { part, position, donor } = place;
  const where = [part?.id, position].filter((x) => x !== undefined && x !== null).join(".") || donor;
  const intermittency = template.intermittency;
  return {
    id: where ? `${template.id}@${where}` : template.id,
    name: nameOf(template, place, catalog),
    template: template.id,
    group: template.group,
    part: part?.id ?? null,
    position,
    donor,
    contact: template.contact ?? false,
    reseat: template.contact ? numberOf(template.reseat ?? 0) : 0,
    rate:
      "fixed" in intermittency
        ? { fixed: intermittency.fixed }
        : { hard: intermittency.hard, a: intermittency.a, b: intermittency.b },
    signature: signatureOf(template.signature, catalog),
    exposure,
    recipe,
    chance,
  };
}

function nameOf(template: CauseTemplate, place: Place, catalog: Catalog): string {
  const position = catalog.positions.find((p) => p.id === place.position)?.name;
  const where = [position, place.part ? (place.part.name ?? place.part.id) : null, place.donor]
    .filter((x) => x)
    .join(", ");
  return where ? `${template.name} · ${where}` : template.name;
}

/** σ by stage; what is not named is 0. */
export function signatureOf(signature: Record<string, number>, catalog: Catalog): Float64Array {
  return Float64Array.from(catalog.stages, (stage) =>
    Object.hasOwn(signature, stage.id) ? signature[stage.id]! : 0,
  );
}

/** Parameters are shared by name, so that one draw moves every cause made from it. */
class Parameters {
  list: Parameter[] = [];
  add(parameter: Parameter): number {
    const known = this.list.findIndex((p) => p.name === parameter.name);
    return known >= 0 ? known : this.list.push(parameter) - 1;
  }
  means(): Float64Array {
    return Float64Array.from(this.list, (p) => p.prior.mean);
  }
}

function recipeOf(
  template: CauseTemplate,
  place: Place,
  catalog: Catalog,
  ticket: Ticket,
  parameters: Parameters,
): ChanceRecipe {
  if (place.part?.spare || place.donor) {
    if (template.spare === undefined) return { hazard: null, chances: [], weight: null };
    const name = `${template.id}.spare`;
    return {
      hazard: null,
      chances: [parameters.add({ kind: "chance", name, prior: betaPrior(template.spare) })],
      weight: null,
    };
  }
  const chances: number[] = [];
  for (const { event, yearsBefore } of ticket.machine.events ?? []) {
    const known = catalog.events?.find((e) => e.id === event);
    const figure =
      template.events && Object.hasOwn(template.events, event) ? template.events[event] : undefined;
    if (figure === undefined || !known || yearsBefore > numberOf(known.windowYears)) continue;
    chances.push(
      parameters.add({ kind: "chance", name: `${template.id}.events.${event}`, prior: betaPrior(figure) }),
    );
  }
  const hazard = hazardOf(template, place, catalog, ticket, parameters);
  return { hazard, chances, weight: weightOf(template, parameters) };
}

function weightOf({ id, weight }: CauseTemplate, parameters: Parameters): number | null {
  if (weight === undefined) return null;
  return parameters.add({ kind: "rate", name: `${id}.weight`, prior: gammaPrior(weight) });
}

function hazardOf(
  template: CauseTemplate,
  place: Place,
  catalog: Catalog,
  ticket: Ticket,
  parameters: Parameters,
): ChanceRecipe["hazard"] {
  if (template.rate === undefined) return null;
  const shape = numberOf(template.shape ?? 1);
  const age = place.part?.ageYears ?? ticket.machine.ageYears;
  const window = numberOf(catalog.windowYears ?? WINDOW_YEARS);
  const spread = age ** shape - Math.max(0, age - window) ** shape;
  const prior = gammaPrior(template.rate);
  const parameter = parameters.add({
    kind: "rate",
    name: `${template.id}.rate`,
    // what past tickets taught is the product of both: the weight carries all of its uncertainty
    prior: template.weight === undefined ? prior : { ...prior, spread: false },
  });
  return { parameter, shape, spread };
}

/** c_k = Γ(1 + 1/k), which makes 1/λ the mean life whatever the Weibull shape k is. */
const meanLifeFactor = (shape: number) => (shape === 1 ? 1 : Math.exp(lnGamma(1 + 1 / shape)));

/**
 * p = 1 − exp(−(H(A) − H(A − W))) · Π (1 − q), H(A) = (λ c_k A)^k; its odds times the weight, where there is one.
 *
 * @param values  one value for each parameter: the means, or a draw; λ in failures per unit-year, q in [0, 1]
 * Source: project model, section 3; Weibull cumulative hazard, e.g. NIST/SEMATECH e-Handbook 8.1.6.2.
 */
export function chanceOf(recipe: ChanceRecipe, values: Float64Array): number {
  let logAbsent = 0;
  if (recipe.hazard) {
    const { parameter, shape, spread } = recipe.hazard;
    logAbsent -= (values[parameter]! * meanLifeFactor(shape)) ** shape * spread;
  }
  for (const q of recipe.chances) logAbsent += Math.log1p(-values[q]!);
  const chance = -Math.expm1(logAbsent);
  if (recipe.weight === null || chance === 1) return chance;
  const odds = (values[recipe.weight]! * chance) / Math.exp(logAbsent);
  return odds / (1 + odds);
}
