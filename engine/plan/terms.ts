/** What things are worth on a ticket: prices that turn minutes, parts and risks into one sum. */
import { numberOf } from "../catalog/number.js";
import type { Catalog, Terms } from "../catalog/schema.js";
import type { Part, Ticket } from "../ticket/schema.js";

export interface Prices {
  /** money for a minute of labour */
  minute: number;
  /** money for a comeback */
  comeback: number;
  /** money lost where the machine goes back unrepaired */
  giveBack: number;
  /** price of an unattended minute, as a share of labour */
  unattended: number;
}

/** A part's own price, else that of its kind; null where neither is stated. */
export function partPrice(catalog: Catalog, { price, kind }: Pick<Part, "price" | "kind">): number | null {
  const listed = catalog.parts.find((k) => k.id === kind)?.price;
  return price ?? (listed === undefined ? null : numberOf(listed));
}

/** Invented; a catalog or a ticket states its own. */
const DEFAULTS = { labourPerHour: 40, comeback: 90, worth: 350, unattended: 0.25 };

/** The ticket's prices, else the catalog's, else the defaults. The owner gets no more back than the machine is worth. */
export function pricesOf(catalog: Catalog, ticket: Ticket): Prices {
  const stated = (key: keyof Terms) => {
    const figure = ticket.terms?.[key] ?? catalog.terms?.[key];
    return figure === undefined ? undefined : numberOf(figure);
  };
  const perHour = ticket.labourPerHour ?? numberOf(catalog.labourPerHour ?? DEFAULTS.labourPerHour);
  return {
    minute: perHour / 60,
    comeback: stated("comeback") ?? DEFAULTS.comeback,
    giveBack: Math.min(stated("worth") ?? DEFAULTS.worth, stated("most") ?? Infinity),
    unattended: stated("unattended") ?? DEFAULTS.unattended,
  };
}
