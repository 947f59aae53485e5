/**
 * The tickets of this browser. A ticket is saved whole at every step, with the steps that lead back; a save that starts
 * from another revision than is stored changes nothing and is told what is.
 */
import type { IDBPObjectStore, IDBPTransaction } from "idb";
import type { Ticket } from "../../engine/ticket/schema.js";
import { database, STRICT, type Head, type Schema, type StoredTicket, type Summary } from "./database.js";
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

/**
 * Those taken off the bench too, newest first.
 * @param known  as they were read before: of a ticket that has not been saved since, only the head is read again
 */
export async function allTickets(known: readonly StoredTicket[] = []): Promise<StoredTicket[]> {
  const tx = (await database()).transaction(["heads", "tickets"]);
  const before = new Map(known.map((one) => [one.id, one]));
  const whole = async (head: Head): Promise<StoredTicket> => {
    const one = before.get(head.id);
    const isSame = one?.revision === head.revision && one.savedAt === head.savedAt;
    return { ...head, ticket: isSame ? one.ticket : (await tx.objectStore("tickets").get(head.id))! };
  };
  const all = await Promise.all((await tx.objectStore("heads").getAll()).map(whole));
  return all.sort((x, y) => y.savedAt.localeCompare(x.savedAt));
}

const SAVED = ["heads", "tickets", "steps"] as const;
type Read = IDBPTransaction<Schema, typeof SAVED, IDBTransactionMode>;

export async function keptTicket(id: string): Promise<Kept | null> {
  return kept((await database()).transaction(SAVED), id);
}

async function kept(tx: Read, id: string): Promise<Kept | null> {
  const [head, ticket, steps] = await Promise.all([
    tx.objectStore("heads").get(id),
    tx.objectStore("tickets").get(id),
    tx.objectStore("steps").getAll(stepsOf(id)),
  ]);
  return head && ticket ? { stored: { ...head, ticket }, steps } : null;
}

/**
 * One transaction reads, compares and writes, so that no window can come between. Of what is stored only the head is read,
 * unless somebody else has changed the ticket.
 */
export async function saveTicket(save: Save, savedAt: string): Promise<SaveAnswer> {
  const { ticket, base, steps, done, from } = save;
  const { id } = ticket;
  const tx = (await database()).transaction(SAVED, "readwrite", STRICT);
  const head = await tx.objectStore("heads").get(id);
  if (head && head.revision !== base) return { theirs: (await kept(tx, id))! };
  const revision = base + 1;
  const writes = [
    tx.objectStore("tickets").put(ticket, id), // first: what cannot be stored is refused before anything is written
    // what was taken off the bench in another window comes back: a start pressed since must not be lost
    tx.objectStore("heads").put({ id, savedAt, summary: head?.summary ?? null, revision, done }),
    ...putSteps(tx.objectStore("steps"), id, steps, head ? from : 0),
  ];
  tx.commit(); // as soon as they are done, whatever keeps the page busy then
  await Promise.all([...writes, tx.done]);
  return { revision };
}

type Steps = IDBPObjectStore<Schema, typeof SAVED, "steps", "readwrite">;

const putSteps = (store: Steps, id: string, steps: Patch[], from: number): Promise<unknown>[] => [
  store.delete(stepsOf(id, from)),
  ...steps.slice(from).map((step, i) => store.put(step, [id, from + i])),
];

/** What the list shows of a ticket; of another revision than is stored it is out of date and not kept. */
export async function putSummary(id: string, revision: number, summary: Summary): Promise<void> {
  const tx = (await database()).transaction("heads", "readwrite");
  const head = await tx.store.get(id);
  if (head?.revision === revision) await tx.store.put({ ...head, summary });
  await tx.done;
}

/** How many tickets that were taken off are kept; those taken off before them are deleted for good. */
export const TAKEN_OFF_KEPT = 20;

/** Those taken off the bench, the last first. */
export const takenOffOf = <H extends Head>(all: readonly H[]): H[] =>
  all.filter((one) => one.takenOff !== undefined).sort((x, y) => y.takenOff!.localeCompare(x.takenOff!));

/** Off the bench, with its steps and photographs where they are. */
export async function takeOff(id: string, at: string): Promise<void> {
  const tx = await wholly();
  const heads = tx.objectStore("heads");
  const head = await heads.get(id);
  if (head) await heads.put({ ...head, takenOff: head.takenOff ?? at });
  const tooMany = takenOffOf(await heads.getAll()).slice(TAKEN_OFF_KEPT);
  for (const old of tooMany) await deleteWithin(tx, old.id);
  await tx.done;
}

/** Back on the bench as it is stored. Another window may have put it back before, or have deleted it. */
export async function putBack(id: string): Promise<"back" | "there already" | "gone"> {
  const tx = (await database()).transaction("heads", "readwrite", STRICT);
  const head = await tx.store.get(id);
  if (head?.takenOff === undefined) return head ? "there already" : "gone";
  const { takenOff: _, ...onBench } = head;
  await tx.store.put(onBench);
  await tx.done;
  return "back";
}

/** Deletes a ticket with all that goes with it, unless it is on the bench again. */
export async function deleteForGood(id: string): Promise<void> {
  const tx = await wholly();
  const head = await tx.objectStore("heads").get(id);
  if (head?.takenOff !== undefined) await deleteWithin(tx, id);
  await tx.done;
}

const wholly = async () => (await database()).transaction([...SAVED, "photos"], "readwrite", STRICT);

async function deleteWithin(tx: Awaited<ReturnType<typeof wholly>>, id: string): Promise<void> {
  await tx.objectStore("heads").delete(id);
  await tx.objectStore("tickets").delete(id);
  await tx.objectStore("steps").delete(stepsOf(id));
  await dropPhotosOf(id, tx.objectStore("photos"));
}
