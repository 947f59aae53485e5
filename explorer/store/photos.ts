/**
 * Photographs, stored as blobs beside the tickets that show them. A picture lives as long as one of its tickets.
 */
import type { IDBPObjectStore } from "idb";
import { database, STRICT, type Schema, type StoredPhoto } from "./database.js";

type Photos = IDBPObjectStore<Schema, ("tickets" | "photos")[], "photos", "readwrite">;

/** Stores a picture of a ticket. Returns its id: letters, digits and -, short enough to be an id in the ticket. */
export async function putPhoto(ticketId: string, blob: Blob): Promise<string> {
  const id = freshPhotoId();
  const tx = (await database()).transaction("photos", "readwrite", STRICT);
  await tx.store.put({ id, tickets: [ticketId], blob });
  await tx.done;
  return id;
}

/** Lays photographs that came with a ticket beside it; those that are here already are only told of the ticket. */
export async function keepPhotos(ticketId: string, photos: readonly StoredPhoto[]): Promise<void> {
  const tx = (await database()).transaction("photos", "readwrite", STRICT);
  for (const { id, blob } of photos) {
    const here = await tx.store.get(id);
    const tickets = [...new Set([...(here?.tickets ?? []), ticketId])];
    await tx.store.put({ id, tickets, blob: here?.blob ?? blob });
  }
  await tx.done;
}

/** null: this browser does not hold it */
export async function photo(id: string): Promise<Blob | null> {
  return (await (await database()).get("photos", id))?.blob ?? null;
}

export async function photosOf(ticketId: string): Promise<StoredPhoto[]> {
  return (await database()).getAllFromIndex("photos", "tickets", ticketId);
}

/** Takes one picture from a ticket; the last ticket takes the picture with it. */
export async function dropPhoto(ticketId: string, id: string): Promise<void> {
  const tx = (await database()).transaction("photos", "readwrite", STRICT);
  const stored = await tx.store.get(id);
  if (stored) await release(stored, ticketId, tx.store);
  await tx.done;
}

/** Within a transaction: what a deleted ticket alone has shown is deleted with it. */
export async function dropPhotosOf(ticketId: string, photos: Photos): Promise<void> {
  for (const stored of await photos.index("tickets").getAll(ticketId))
    await release(stored, ticketId, photos);
}

async function release(
  stored: StoredPhoto,
  ticketId: string,
  photos: Pick<Photos, "put" | "delete">,
): Promise<void> {
  const tickets = stored.tickets.filter((id) => id !== ticketId);
  if (tickets.length > 0) await photos.put({ ...stored, tickets });
  else await photos.delete(stored.id);
}

/** 128 random bits: `randomUUID` is missing on a page that was served over plain http in a workshop's own network. */
const freshPhotoId = (): string =>
  `photo-${[...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;
