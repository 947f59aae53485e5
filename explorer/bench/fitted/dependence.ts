/** What reads exposures on the page's own thread, fetched when a ticket is open. */
import type { Catalog } from "../../../engine/catalog/schema.js";
import { dependencesOf } from "../../../engine/ticket/dependence.js";
import type { Ticket } from "../../../engine/ticket/schema.js";

/** The same by cause. */
export function dependencesByCause(catalog: Catalog, ticket: Ticket) {
  const ask = dependencesOf(catalog, ticket);
  return (...at: Parameters<typeof ask>) => new Map(ask(...at).map((one) => [one.cause, one]));
}
