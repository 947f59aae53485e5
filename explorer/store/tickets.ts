/** The tickets of this browser: each saved whole whenever it changes. */
import type { Ticket } from "../../engine/ticket/schema.js";
import { database, STRICT, type StoredTicket, type Summary } from "./database.js";
import { dropPhotosOf } from "./photos.js";

/** Newest first. */
export async function allTickets(): Promise<StoredTicket[]> {
  const all = await (await database()).getAll("tickets");
  return all.sort((x, y) => y.savedAt.localeCompare(x.savedAt));
}

export async function putTicket(ticket: Ticket, savedAt: string, summary: Summary | null): Promise<void> {
  const tx = (await database()).transaction("tickets", "readwrite", STRICT);
  const before = await tx.store.get(ticket.id);
  await tx.store.put({ id: ticket.id, ticket, savedAt, summary, revision: (before?.revision ?? 0) + 1 });
  await tx.done;
}

export async function deleteTicket(id: string): Promise<void> {
  const tx = (await database()).transaction(["tickets", "photos"], "readwrite", STRICT);
  await tx.objectStore("tickets").delete(id);
  await dropPhotosOf(id, tx.objectStore("photos"));
  await tx.done;
}
