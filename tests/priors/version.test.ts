/**
 * A link to a practice machine names the catalog's version, and must deal the same machine to a whole class: figures that
 * change need another version.
 */
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";

const folder = new URL("../../priors/", import.meta.url);
const files = readdirSync(folder).filter((file) => file.endsWith(".json"));
interface Named {
  id: string;
  version: string;
}
const digestOf = (data: unknown) =>
  createHash("sha256").update(JSON.stringify(data)).digest("hex").slice(0, 16);

/** By id and version: the digest of its figures. */
const PUBLISHED = { "desktop 1": "d9fa4a5b032af732" };

test("a catalog whose figures changed says another version", () => {
  const catalogs = files.map((file) => JSON.parse(readFileSync(new URL(file, folder), "utf8")) as Named);
  const digests = new Map(catalogs.map((one) => [`${one.id} ${one.version}`, digestOf(one)]));
  const changed = Object.entries(PUBLISHED).filter(([name, was]) => (digests.get(name) ?? was) !== was);
  expect(changed).toEqual([]);
});
