/**
 * The browser's own database: what it holds, and how an older one is brought up to date.
 *
 * Version 1 held tickets alone. Version 2 counts the revisions of a ticket and keeps its steps (for undo), photographs,
 * the shop's settings and its own catalogs. Version 3 keeps what was taken off the bench, and beside a ticket what its
 * money is in. Version 4 has that in the ticket, which carries it wherever it goes. Version 5 keeps beside each ticket a
 * head of it, which says without the ticket whether a save may be made and what the list shows.
 */
import {
  openDB,
  type DBSchema,
  type IDBPDatabase,
  type IDBPObjectStore,
  type IDBPTransaction,
  type StoreNames,
} from "idb";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { inCurrency } from "./currency.js";
import type { Patch } from "./patch.js";

export const VERSION = 5;

/** What the list of tickets shows without weighing anything. */
export interface Summary {
  leading: { name: string; group: string; p: number }[];
  next: string | null;
}

/** Everything about a ticket but itself: small, however long the record. */
export interface Head {
  id: string;
  /** ISO 8601 */
  savedAt: string;
  summary: Summary | null;
  /** counts the saves; a save that starts from another one than is stored overwrites nothing */
  revision: number;
  /** how many of its steps are done; those beyond can be done again */
  done: number;
  /** ISO 8601, when it was taken off the bench, with all that goes with it; none: it is on the bench */
  takenOff?: string;
}

export interface StoredTicket extends Head {
  ticket: Ticket;
}

export interface StoredPhoto {
  id: string;
  /** the tickets that show it: the same picture is stored once */
  tickets: string[];
  blob: Blob;
}

export interface Schema extends DBSchema {
  heads: { key: string; value: Head };
  /** each under its id, which is not sought in it: a browser would copy the ticket once more for that at every save */
  tickets: { key: string; value: Ticket };
  steps: { key: [ticket: string, n: number]; value: Patch };
  photos: { key: string; value: StoredPhoto; indexes: { tickets: string } };
  catalogs: { key: string; value: Catalog };
  shop: { key: string; value: unknown };
}

export type Database = IDBPDatabase<Schema>;
type Upgrade = IDBPTransaction<Schema, StoreNames<Schema>[], "versionchange">;

/** What each version added, in order. */
async function upgrade(db: Database, from: number, tx: Upgrade): Promise<void> {
  if (from < 1) db.createObjectStore("tickets", { keyPath: "id" });
  if (from < 2) {
    db.createObjectStore("photos", { keyPath: "id" }).createIndex("tickets", "tickets", { multiEntry: true });
    db.createObjectStore("catalogs", { keyPath: "id" });
    db.createObjectStore("steps");
    db.createObjectStore("shop");
    for await (const cursor of olderTickets(tx)) await cursor.update({ ...cursor.value, revision: 1 });
  }
  if (from < 4) await putCurrencyIntoTickets(tx);
  if (from < 5) await takeHeadsOffTickets(db, tx);
}

/** Until version 5 a ticket lay within its head. */
interface Older extends DBSchema {
  tickets: { key: string; value: StoredTicket };
}
const olderTickets = (tx: Upgrade) =>
  tx.objectStore("tickets") as unknown as IDBPObjectStore<Older, ["tickets"], "tickets", "versionchange">;

/** What stood beside a ticket: null for bare sums, nothing where it was older than that and shown in the shop's. */
interface Beside {
  currency?: string | null;
}

async function putCurrencyIntoTickets(tx: Upgrade): Promise<void> {
  const shop = (await tx.objectStore("shop").get("settings")) as Beside | undefined;
  const codes = new Map<string, Beside["currency"]>();
  for await (const cursor of olderTickets(tx)) {
    const { currency = shop?.currency, ...stored } = cursor.value as StoredTicket & Beside;
    codes.set(stored.id, currency);
    await cursor.update({ ...stored, ticket: inCurrency(stored.ticket, currency) });
  }
  for await (const cursor of tx.objectStore("steps")) {
    const step = cursor.value;
    if (step.path.length > 0) continue; // what is left replaces the ticket whole
    const code = codes.get(cursor.key[0]);
    const [was, now] = [inCurrency(step.was as Ticket, code), inCurrency(step.now as Ticket, code)];
    await cursor.update({ path: [], was, now });
  }
}

async function takeHeadsOffTickets(db: Database, tx: Upgrade): Promise<void> {
  const all = await olderTickets(tx).getAll();
  db.deleteObjectStore("tickets");
  const heads = db.createObjectStore("heads", { keyPath: "id" });
  const tickets = db.createObjectStore("tickets");
  await Promise.all(all.flatMap(({ ticket, ...head }) => [heads.put(head), tickets.put(ticket, head.id)]));
}

let opened: Promise<Database> | null = null;
const forget = () => void (opened = null);

/** A window of an older version holds up an upgrade until it is closed, and is told of by name; one of this gives way. */
const open = (): Promise<Database> =>
  new Promise((resolve, reject) => {
    openDB<Schema>("fitful", VERSION, {
      upgrade: (db, from, _, tx) => {
        tx.done.catch(() => undefined); // whoever opens it is told
        upgrade(db, from, tx).catch(() => tx.abort()); // as it was is better than half of what it should be
      },
      blocked: () => reject(new DOMException("an older window is open", "BlockedError")),
      blocking: (_, __, event) => {
        forget();
        (event.target as IDBDatabase).close();
      },
      terminated: forget,
    }).then(resolve, reject);
  });

/** What failed is tried anew when it is asked for again. */
export const database = (): Promise<Database> =>
  (opened ??= open().catch((error: unknown) => {
    forget();
    throw error;
  }));

/** A commit is reported only when it is on the disk. */
export const STRICT = { durability: "strict" } as const;
