/** The tickets of the bench by what can be done about them now, and the search among them. Pure. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { StoredTicket } from "../store/database.js";

export type Standing = "work" | "parked" | "closed";

/** Closed: released, and nothing but notes since. A parked ticket waits, whatever was done to it. */
export function standingOf(ticket: Ticket): Standing {
  if (ticket.parked) return "parked";
  return ticket.entries.findLast((entry) => entry.kind !== "note")?.kind === "release" ? "closed" : "work";
}

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
