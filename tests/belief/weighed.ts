/** A ticket that carries its own catalog, weighed by the engine. */
import { createWeigher } from "../../engine/weigh.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Weighing } from "../../engine/weighing.js";

export function weighed(ticket: Ticket, advice = false): Weighing {
  const result = createWeigher(ticket.catalog as Catalog).weigh(ticket, { advice });
  if ("issues" in result) throw new Error(result.issues.map((x) => `${x.path}: ${x.message}`).join("; "));
  return result.weighing;
}
