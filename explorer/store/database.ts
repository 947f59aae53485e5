/** The browser's own database: every ticket, saved whole whenever it changes. */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Ticket } from "../../engine/ticket/schema.js";

/** What the list of tickets shows without weighing anything. */
export interface Summary {
  leading: { name: string; group: string; p: number }[];
  next: string | null;
}

export interface StoredTicket {
  id: string;
  ticket: Ticket;
  /** ISO 8601 */
  savedAt: string;
  summary: Summary | null;
}

interface Schema extends DBSchema {
  tickets: { key: string; value: StoredTicket };
}

const open = (): Promise<IDBPDatabase<Schema>> =>
  openDB<Schema>("fitful", 1, { upgrade: (db) => void db.createObjectStore("tickets", { keyPath: "id" }) });

let opened: Promise<IDBPDatabase<Schema>> | null = null;
const database = () => (opened ??= open());

/** Newest first. */
export async function allTickets(): Promise<StoredTicket[]> {
  const all = await (await database()).getAll("tickets");
  return all.sort((x, y) => y.savedAt.localeCompare(x.savedAt));
}

export async function putTicket(ticket: Ticket, savedAt: string, summary: Summary | null): Promise<void> {
  await (await database()).put("tickets", { id: ticket.id, ticket, savedAt, summary });
}

export async function deleteTicket(id: string): Promise<void> {
  await (await database()).delete("tickets", id);
}
