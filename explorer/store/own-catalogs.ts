/** Catalogs of the shop's own, such as one tuned on its past tickets, beside those that come with the program. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { CATALOGS } from "./catalogs.js";
import { database, STRICT } from "./database.js";

export const ownCatalogs = async (): Promise<Catalog[]> => (await database()).getAll("catalogs");

/**
 * Stores a catalog, in the place of an own one with its id.
 * @throws {RangeError} where a catalog that comes with the program has the id: tickets in work name that one
 */
export async function putCatalog(catalog: Catalog): Promise<void> {
  if (CATALOGS.some((c) => c.id === catalog.id))
    throw new RangeError(
      `id: found "${catalog.id}", which comes with the program, expected an id of its own`,
    );
  const tx = (await database()).transaction("catalogs", "readwrite", STRICT);
  await tx.store.put(catalog);
  await tx.done;
}

export async function deleteCatalog(id: string): Promise<void> {
  await (await database()).delete("catalogs", id);
}
