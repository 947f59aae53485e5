/**
 * Lays what a backup holds beside what is here: nothing here is overwritten, and either all of it is stored or none.
 */
import { freshId } from "../bench/ticket-edits.js";
import { CATALOGS } from "./catalogs.js";
import { database, STRICT, type Head } from "./database.js";
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
  const stores = ["heads", "tickets", "photos", "catalogs", "shop"] as const;
  const tx = (await database()).transaction(stores, "readwrite", STRICT);
  const [heads, tickets, photos, catalogs] = [
    tx.objectStore("heads"),
    tx.objectStore("tickets"),
    tx.objectStore("photos"),
    tx.objectStore("catalogs"),
  ];
  const restored: Restored = { tickets: 0, takenOff: 0, photos: 0, catalogs: 0, known: 0, kept: [] };
  const taken = new Set(await heads.getAllKeys());
  const idHere = new Map<string, string>();

  for (const { ticket, savedAt: saved, takenOff } of backup.tickets) {
    const [here, theSame] = [await heads.get(ticket.id), same(await tickets.get(ticket.id), ticket)];
    const id = here && !theSame ? freshId(taken, `${ticket.id.slice(0, 50)}-`) : ticket.id;
    idHere.set(ticket.id, id);
    const comesBack = here?.takenOff !== undefined && takenOff === undefined;
    if (here && id === ticket.id && !comesBack) {
      restored.known++;
      continue;
    }
    taken.add(id);
    const anew: Head = { id, savedAt: saved || savedAt, summary: null, revision: 1, done: 0 };
    const { takenOff: _, ...head } = here && id === ticket.id ? here : anew;
    await heads.put({ ...head, ...(takenOff !== undefined && { takenOff }) });
    await tickets.put({ ...ticket, id }, id);
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
