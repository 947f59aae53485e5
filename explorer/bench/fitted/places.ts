/** What can go where, and what can be looked at. Pure. */
import type { Catalog, Target } from "../../../engine/catalog/schema.js";
import type { Part, Ticket } from "../../../engine/ticket/schema.js";
import type { Words } from "../words.js";

/** Places that take the part. */
export function placesFor(part: string, ticket: Ticket, catalog: Catalog): string[] {
  const kind = ticket.machine.parts.find((p) => p.id === part)?.kind;
  return catalog.positions.filter((position) => position.accepts === kind).map((position) => position.id);
}

/** Parts that fit the place. */
export function partsFor(position: string, ticket: Ticket, catalog: Catalog): Part[] {
  const kind = catalog.positions.find((p) => p.id === position)?.accepts;
  return ticket.machine.parts.filter((part) => part.kind === kind);
}

/** Parts that are in no place now. */
export function shelved(fitted: Record<string, string | null>, ticket: Ticket): Part[] {
  const used = new Set(Object.values(fitted));
  return ticket.machine.parts.filter((part) => !used.has(part.id));
}

/** The things a finding, a reading or a repair can be made on; empty where it is the machine. */
export function targetsOf(target: Target | undefined, words: Words): { id: string; name: string }[] {
  const { catalog, ticket } = words;
  if (target === undefined || target === "machine") return [];
  if ("part" in target)
    return ticket.machine.parts
      .filter((p) => p.kind === target.part)
      .map((p) => ({ id: p.id, name: words.part(p.id) }));
  return catalog.positions.filter((p) => p.kind === target.position).map((p) => ({ id: p.id, name: p.name }));
}

/** Cautions by id, in the order given. */
export const cautionsOf = (catalog: Catalog, ids: readonly string[] | undefined) =>
  (ids ?? []).flatMap((id) => catalog.cautions?.find((caution) => caution.id === id) ?? []);

/** Largest first, so that what lies on a board is drawn over it. */
export const drawn = (catalog: Catalog) =>
  catalog.positions
    .flatMap((position) => (position.at ? [{ ...position, at: position.at }] : []))
    .sort((x, y) => y.at.w * y.at.h - x.at.w * x.at.h);
