/** What a ticket has cost so far: minutes by the record, parts by their prices. Pure. */
import { numberOf } from "../../engine/catalog/figures.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { partPrice, pricesOf } from "../../engine/plan/terms.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Setup } from "../../engine/ticket/setup.js";
import { minutesSpent } from "../bench/ticket-edits.js";
import type { Words } from "../bench/words.js";

export interface Costs {
  minutes: number;
  perHour: number;
  labour: number;
  /** parts that were put in for good and what repairs used up; a price that nobody stated is null */
  parts: { name: string; price: number | null }[];
  total: number;
}

export function costsOf(catalog: Catalog, ticket: Ticket, now: Setup, words: Words): Costs {
  const minutes = minutesSpent(ticket);
  const perMinute = pricesOf(catalog, ticket).minute;
  const parts = [...newParts(catalog, ticket, now, words), ...consumed(catalog, ticket)];
  const labour = minutes * perMinute;
  const total = labour + parts.reduce((sum, part) => sum + (part.price ?? 0), 0);
  return { minutes, perHour: 60 * perMinute, labour, parts, total };
}

/** Parts that are in the machine and did not come in it. */
function newParts(catalog: Catalog, ticket: Ticket, now: Setup, words: Words): Costs["parts"] {
  const fitted = new Set(Object.values(now.fit));
  return ticket.machine.parts
    .filter((part) => part.position === undefined && fitted.has(part.id))
    .map((part) => ({ name: words.part(part.id), price: partPrice(catalog, part) }));
}

function consumed(catalog: Catalog, ticket: Ticket): Costs["parts"] {
  return ticket.entries.flatMap((entry) => {
    const repair = entry.kind === "repair" ? catalog.repairs?.find((r) => r.id === entry.repair) : undefined;
    return repair?.cost === undefined ? [] : [{ name: `for: ${repair.name}`, price: numberOf(repair.cost) }];
  });
}
