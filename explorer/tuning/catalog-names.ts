/** Catalogs as a list names them, so that a tuned one and the one it came from are told apart. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";

const DAY = new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeZone: "UTC" });

/** "2025-12-28" → "28 Dec 2025"; what is no day is shown as it stands. */
function dayOf(iso: string): string {
  const date = new Date(iso);
  return Number.isNaN(date.getTime()) ? iso : DAY.format(date);
}

/** "Desktop computer, version 1", or "…, tuned on 2,838 tickets up to 28 Dec 2025" */
export function listName({ name, version, tuned }: Catalog): string {
  if (tuned === undefined) return `${name}, version ${version}`;
  const until = tuned.last === undefined ? "" : ` up to ${dayOf(tuned.last)}`;
  return `${name}, tuned on ${tuned.tickets.toLocaleString("en-GB")} tickets${until}`;
}

/** Where the figures of a tuned catalog come from. */
export function provenance({ from, tickets, confirmed, first, last }: NonNullable<Catalog["tuned"]>): string {
  const days = first === undefined || last === undefined ? "" : `, closed ${dayOf(first)} to ${dayOf(last)}`;
  const counts = [tickets, confirmed].map((n) => n.toLocaleString("en-GB"));
  return `Tuned from ${from.id}, version ${from.version}, on ${counts[0]} past tickets, ${counts[1]} of them confirmed${days}.`;
}
