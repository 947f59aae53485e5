/** One ticket as a file: plain JSON, or, where it shows photographs, the lines of a backup, which carry them. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { StoredPhoto } from "./database.js";
import { fileText, saveBlob } from "./files.js";
import { photo } from "./photos.js";

/** Hands it to the browser's downloads. */
export async function saveTicket(ticket: Ticket, made: string): Promise<void> {
  const { name, file } = await ticketFile(ticket, made);
  saveBlob(name, file);
}

async function ticketFile(ticket: Ticket, made: string): Promise<{ name: string; file: Blob }> {
  const photos = await heldPhotos(ticket);
  const name = `${ticket.id}.ticket.json`;
  if (photos.length === 0) return { name, file: new Blob([fileText(ticket)], { type: "application/json" }) };
  const { written } = await import("./backup.js");
  const tickets = [{ ticket, savedAt: made }];
  return { name: `${name}l`, file: await written({ tickets, catalogs: [], photos, shop: null }, made) };
}

/** The ids of the photographs that a record shows, those of deleted entries included. */
export const photosShown = ({ entries, deleted = [] }: Ticket): string[] => [
  ...new Set([...entries, ...deleted.map(({ entry }) => entry)].flatMap((entry) => entry.photos ?? [])),
];

/** Those of them that this browser holds. */
async function heldPhotos(ticket: Ticket): Promise<StoredPhoto[]> {
  const held = await Promise.all(
    photosShown(ticket).map(async (id) => ({ id, blob: await photo(id).catch(() => null) })),
  );
  return held.flatMap(({ id, blob }) => (blob ? [{ id, tickets: [ticket.id], blob }] : []));
}
