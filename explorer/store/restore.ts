/**
 * Lays what a backup holds beside what is here: nothing here is overwritten, and either all of it is stored or none.
 */
import { freshId } from "../bench/ticket-edits.js";
import { CATALOGS } from "./catalogs.js";
import { database, STRICT } from "./database.js";
import type { Backup } from "./backup.js";
import { same } from "./plain.js";

export interface Restored {
  /** laid on the bench */
  tickets: number;
  /** laid among those that were taken off it */
  takenOff: number;
  photos: number;
  catalogs: number;
  /** what was here already, to the letter */
  known: number;
  /** what is here in another form, and stays: in words */
  kept: string[];
}

export async function restore(backup: Backup, savedAt: string): Promise<Restored> {
  const tx = (await database()).transaction(["tickets", "photos", "catalogs", "shop"], "readwrite", STRICT);
  const [tickets, photos, catalogs] = [
    tx.objectStore("tickets"),
    tx.objectStore("photos"),
    tx.objectStore("catalogs"),
  ];
  const restored: Restored = { tickets: 0, takenOff: 0, photos: 0, catalogs: 0, known: 0, kept: [] };
  const taken = new Set(await tickets.getAllKeys());
  const idHere = new Map<string, string>();

  for (const { ticket, savedAt: saved, takenOff } of backup.tickets) {
    const here = await tickets.get(ticket.id);
    const id = here && !same(here.ticket, ticket) ? freshId(taken, `${ticket.id.slice(0, 50)}-`) : ticket.id;
    idHere.set(ticket.id, id);
    const comesBack = here?.takenOff !== undefined && takenOff === undefined;
    if (here && id === ticket.id && !comesBack) {
      restored.known++;
      continue;
    }
    taken.add(id);
    const anew = {
      ticket: { ...ticket, id },
      savedAt: saved || savedAt,
      summary: null,
      revision: 1,
      done: 0,
    };
    const { takenOff: _, ...stored } = here && id === ticket.id ? here : { id, ...anew };
    await tickets.put({ ...stored, ...(takenOff !== undefined && { takenOff }) });
    restored[takenOff === undefined ? "tickets" : "takenOff"]++;
  }
  for (const photo of backup.photos) {
    const here = await photos.get(photo.id);
    const of = photo.tickets.map((id) => idHere.get(id) ?? id);
    await photos.put({ ...(here ?? photo), tickets: [...new Set([...(here?.tickets ?? []), ...of])] });
    if (here) restored.known++;
    else restored.photos++;
  }
  for (const catalog of backup.catalogs) {
    const here = CATALOGS.find((c) => c.id === catalog.id) ?? (await catalogs.get(catalog.id));
    if (here && same(here, catalog)) restored.known++;
    else if (here) restored.kept.push(`the catalog ${catalog.id}, which is another one in the file`);
    else {
      await catalogs.put(catalog);
      restored.catalogs++;
    }
  }
  if (backup.shop) {
    const here = await tx.objectStore("shop").get("settings");
    if (here === undefined) await tx.objectStore("shop").put(backup.shop, "settings");
    else if (!same(here, backup.shop))
      restored.kept.push("the shop's settings, which are others in the file");
  }
  await tx.done;
  return restored;
}
