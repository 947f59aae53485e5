/**
 * A machine comes in: its age, history and settings, the shelf it is worked with. Drawn, seeded; no truth in it.
 */
import type { Catalog } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import { TICKET_FORMAT, type Part, type Ticket } from "../ticket/schema.js";
import type { Prices } from "./prices.js";
import { customersUse, type Shop } from "./shop.js";
import { drawIndex, type Uniform } from "./streams.js";

/** A ticket without entries. @param terms  what things are worth, and faults at once that the technician considers */
export function intakeTicket(
  catalog: Catalog,
  shop: Shop,
  id: string,
  { maxCauses, prices }: { maxCauses: number; prices: Prices },
  uniform: Uniform,
): Ticket {
  const [youngest, oldest] = shop.ages;
  const ageYears = youngest + (oldest - youngest) * uniform();
  return {
    format: TICKET_FORMAT,
    id,
    title: "A simulated machine",
    catalog: catalog.id,
    machine: {
      ageYears,
      parts: [...(catalog.machine?.parts ?? []), ...shelfParts(catalog, shop)],
      settings: settingsOf(catalog, shop, uniform),
      events: eventsOf(catalog, shop, uniform),
    },
    options: { maxCauses, draws: 0 },
    ...(prices.labourPerHour !== undefined && { labourPerHour: prices.labourPerHour }),
    terms: { comeback: prices.comeback, worth: prices.returned },
    release: {
      perDay: [{ conditions: customersUse(catalog), perDay: prices.startsPerDay }],
      days: prices.days,
    },
    entries: [],
  };
}

/** A good one of each kind: on the shelf, or to be bought. */
export const spareId = (kind: string): string => `spare-${kind}`;

/** "Spare coin cell"; what begins with a capital word such as LED keeps it. */
const spareName = (kind: string): string =>
  `Spare ${/^[A-Z][a-z]/.test(kind) ? kind.slice(0, 1).toLowerCase() + kind.slice(1) : kind}`;

const shelfParts = (catalog: Catalog, shop: Shop): Part[] =>
  catalog.parts.map((kind) => ({
    id: spareId(kind.id),
    kind: kind.id,
    name: spareName(kind.name),
    spare: true,
    atHand: shop.shelf.includes(kind.id),
    price: numberOf(kind.price ?? 0),
  }));

function settingsOf(catalog: Catalog, shop: Shop, uniform: Uniform): Record<string, string> {
  const settings: Record<string, string> = {};
  for (const setting of catalog.settings ?? []) {
    const others = Object.entries(shop.settings[setting.id] ?? {});
    const rest = 1 - others.reduce((sum, [, p]) => sum + p, 0);
    const values = [setting.default, ...others.map(([value]) => value)];
    settings[setting.id] = values[drawIndex([rest, ...others.map(([, p]) => p)], uniform())]!;
  }
  return settings;
}

const eventsOf = (catalog: Catalog, shop: Shop, uniform: Uniform) =>
  (catalog.events ?? []).flatMap((event) => {
    const [happened, when] = [uniform() < shop.event, uniform()];
    return happened ? [{ event: event.id, yearsBefore: when * numberOf(event.windowYears) }] : [];
  });
