/**
 * The tickets of this browser. A ticket is saved whole at every step, with the steps that lead back; a save that starts
 * from another revision than is stored changes nothing and is told what is.
 */
import type { IDBPObjectStore, StoreNames } from "idb";
import type { Ticket } from "../../engine/ticket/schema.js";
import {
  database,
  STRICT,
  type Schema,
  type StoredPhoto,
  type StoredTicket,
  type Summary,
} from "./database.js";
import type { Patch } from "./patch.js";
import { dropPhotosOf } from "./photos.js";

/** A ticket as stored, with every step that was made on it. */
export interface Kept {
  stored: StoredTicket;
  steps: Patch[];
}

export interface Save {
  ticket: Ticket;
  /** the revision that the ticket was made from; 0: none is stored */
  base: number;
  steps: Patch[];
  done: number;
  /** the steps before this one are stored already */
  from: number;
}

/** Either it is on the disk, or somebody else has changed the ticket since. */
export type SaveAnswer = { revision: number } | { theirs: Kept };

/** All steps of a ticket, or those from one on. */
const stepsOf = (id: string, from = 0) => IDBKeyRange.bound([id, from], [id, Infinity]);

/** Newest first. */
export async function allTickets(): Promise<StoredTicket[]> {
  const all = await (await database()).getAll("tickets");
  return all.sort((x, y) => y.savedAt.localeCompare(x.savedAt));
}

export async function keptTicket(id: string): Promise<Kept | null> {
  const tx = (await database()).transaction(["tickets", "steps"]);
  const stored = await tx.objectStore("tickets").get(id);
  return stored ? { stored, steps: await tx.objectStore("steps").getAll(stepsOf(id)) } : null;
}

/** One transaction reads, compares and writes, so that no window can come between. */
export async function saveTicket(save: Save, savedAt: string): Promise<SaveAnswer> {
  const { ticket, steps, done, from } = save;
  const tx = (await database()).transaction(["tickets", "steps"], "readwrite", STRICT);
  const tickets = tx.objectStore("tickets");
  const stored = await tickets.get(ticket.id);
  // what was taken off the bench in another window comes back: a start pressed since must not be lost
  if (stored && stored.revision !== save.base)
    return { theirs: { stored, steps: await tx.objectStore("steps").getAll(stepsOf(ticket.id)) } };
  const revision = save.base + 1;
  void tickets.put({ id: ticket.id, ticket, savedAt, summary: stored?.summary ?? null, revision, done });
  await putSteps(tx.objectStore("steps"), ticket.id, steps, stored ? from : 0);
  await tx.done;
  return { revision };
}

type Steps = IDBPObjectStore<Schema, StoreNames<Schema>[], "steps", "readwrite">;

async function putSteps(
  store: Pick<Steps, "put" | "delete">,
  id: string,
  steps: Patch[],
  from: number,
): Promise<void> {
  await store.delete(stepsOf(id, from));
  await Promise.all(steps.slice(from).map((step, i) => store.put(step, [id, from + i])));
}

/** What the list shows of a ticket; of another revision than is stored it is out of date and not kept. */
export async function putSummary(id: string, revision: number, summary: Summary): Promise<void> {
  const tx = (await database()).transaction("tickets", "readwrite");
  const stored = await tx.store.get(id);
  if (stored?.revision === revision) await tx.store.put({ ...stored, summary });
  await tx.done;
}

/** A ticket with all that goes with it, as it was taken off the bench. */
export interface Removed extends Kept {
  photos: StoredPhoto[];
}

/** Null where it was not there. */
export async function deleteTicket(id: string): Promise<Removed | null> {
  const tx = (await database()).transaction(["tickets", "steps", "photos"], "readwrite", STRICT);
  const [tickets, steps, photos] = [
    tx.objectStore("tickets"),
    tx.objectStore("steps"),
    tx.objectStore("photos"),
  ];
  const stored = await tickets.get(id);
  const removed = stored && {
    stored,
    steps: await steps.getAll(stepsOf(id)),
    photos: await photos.index("tickets").getAll(id),
  };
  await tickets.delete(id);
  await steps.delete(stepsOf(id));
  await dropPhotosOf(id, photos);
  await tx.done;
  return removed ?? null;
}

export async function putBack({ stored, steps, photos }: Removed): Promise<void> {
  const tx = (await database()).transaction(["tickets", "steps", "photos"], "readwrite", STRICT);
  await tx.objectStore("tickets").put(stored);
  await putSteps(tx.objectStore("steps"), stored.id, steps, 0);
  await Promise.all(photos.map((photo) => tx.objectStore("photos").put(photo)));
  await tx.done;
}
