/** The tickets of the bench by what can be done about them now, and the search among them. Pure. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { StoredTicket } from "../store/database.js";
import { parkingOf } from "../bench/record/parking.js";
import { releasedIn } from "../bench/record/release.js";

export type Standing = "work" | "parked" | "closed";

/** Closed: released, and nothing but notes since, nor parked since. */
export function standingOf(ticket: Ticket): Standing {
  if (parkingOf(ticket)) return "parked";
  return releasedIn(ticket)?.isLast ? "closed" : "work";
}

/** What tickets are called in a list, by id: title and whose it is; with the id where another is called the same. */
export function namesIn(list: readonly StoredTicket[]): ReadonlyMap<string, string> {
  const alike = new Map<string, number>();
  for (const { ticket } of list) alike.set(nameOf(ticket), (alike.get(nameOf(ticket)) ?? 0) + 1);
  const name = (ticket: Ticket, id: string) =>
    alike.get(nameOf(ticket))! > 1 ? `${nameOf(ticket)} · ${id}` : nameOf(ticket);
  return new Map(list.map(({ id, ticket }) => [id, name(ticket, id)]));
}

/** What it is called: title and whose it is. */
export const nameOf = ({ title, owner }: Ticket): string => (owner ? `${title} · ${owner}` : title);

/** Everything in words that somebody may remember of a ticket. */
function textOf({ ticket, summary }: StoredTicket): string {
  const entries = ticket.entries.flatMap((entry) => [
    entry.note,
    entry.kind === "intake" ? entry.complaint : undefined,
    entry.kind === "note" ? entry.text : undefined,
  ]);
  const leading = summary?.leading.map((suspect) => suspect.name) ?? [];
  return [ticket.title, ticket.owner, ticket.machine.name, ticket.id, ...entries, ...leading]
    .join("\n")
    .toLowerCase();
}

/** Tickets that hold every word of the search, in any order. */
export function found(tickets: readonly StoredTicket[], search: string): StoredTicket[] {
  const words = search.toLowerCase().split(/\s+/).filter(Boolean);
  return tickets.filter((stored) => {
    const text = words.length > 0 ? textOf(stored) : "";
    return words.every((word) => text.includes(word));
  });
}
