/**
 * The tickets of this browser. A ticket is saved whole at every step, with the steps that lead back; a save that starts
 * from another revision than is stored changes nothing and is told what is.
 */
import type { IDBPObjectStore, StoreNames } from "idb";
import type { Ticket } from "../../engine/ticket/schema.js";
import { database, STRICT, type Schema, type StoredTicket, type Summary } from "./database.js";
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

/** Those taken off the bench too, newest first. */
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
  if (stored && stored.revision !== save.base)
    return { theirs: { stored, steps: await tx.objectStore("steps").getAll(stepsOf(ticket.id)) } };
  const revision = save.base + 1;
  // what was taken off the bench in another window comes back: a start pressed since must not be lost
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

/** How many tickets that were taken off are kept; those taken off before them are deleted for good. */
export const TAKEN_OFF_KEPT = 20;

/** Those taken off the bench, the last first. */
export const takenOffOf = (all: readonly StoredTicket[]): StoredTicket[] =>
  all.filter((one) => one.takenOff !== undefined).sort((x, y) => y.takenOff!.localeCompare(x.takenOff!));

/** Off the bench, with its steps and photographs where they are. */
export async function takeOff(id: string, at: string): Promise<void> {
  const tx = await wholly();
  const tickets = tx.objectStore("tickets");
  const stored = await tickets.get(id);
  if (stored) await tickets.put({ ...stored, takenOff: stored.takenOff ?? at });
  const tooMany = takenOffOf(await tickets.getAll()).slice(TAKEN_OFF_KEPT);
  for (const old of tooMany) await deleteWithin(tx, old.id);
  await tx.done;
}

/** Back on the bench as it is stored. Another window may have put it back before, or have deleted it. */
export async function putBack(id: string): Promise<"back" | "there already" | "gone"> {
  const tx = (await database()).transaction("tickets", "readwrite", STRICT);
  const stored = await tx.store.get(id);
  if (stored?.takenOff === undefined) return stored ? "there already" : "gone";
  const { takenOff: _, ...onBench } = stored;
  await tx.store.put(onBench);
  await tx.done;
  return "back";
}

/** Deletes a ticket with all that goes with it, unless it is on the bench again. */
export async function deleteForGood(id: string): Promise<void> {
  const tx = await wholly();
  const stored = await tx.objectStore("tickets").get(id);
  if (stored?.takenOff !== undefined) await deleteWithin(tx, id);
  await tx.done;
}

const wholly = async () =>
  (await database()).transaction(["tickets", "steps", "photos"], "readwrite", STRICT);

async function deleteWithin(tx: Awaited<ReturnType<typeof wholly>>, id: string): Promise<void> {
  await tx.objectStore("tickets").delete(id);
  await tx.objectStore("steps").delete(stepsOf(id));
  await dropPhotosOf(id, tx.objectStore("photos"));
}
