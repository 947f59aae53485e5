/** A catalog that was opened as a file, beside the kinds of machine there are. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { issue } from "../../engine/issue.js";
import { parseCatalog } from "../../engine/ticket/parse.js";
import type { Issue } from "../../engine/weighing.js";
import { same } from "./plain.js";

interface Known {
  /** those that come with the program, which tickets in work count on */
  fixed: readonly Catalog[];
  own: readonly Catalog[];
}

/** The catalog, and what stands under its id: the very same, an own one of another version, or nothing. */
export type CatalogFile = { catalog: Catalog; here: Catalog | null } | { issues: Issue[] };

/** What would take the place of something that is not known to be older is refused. */
export function readCatalog(data: unknown, { fixed, own }: Known): CatalogFile {
  const parsed = parseCatalog(data);
  if ("issues" in parsed) return parsed;
  const { catalog } = parsed;
  const here = [...fixed, ...own].find(({ id }) => id === catalog.id) ?? null;
  if (here === null || same(here, catalog)) return { catalog, here };
  if (fixed.includes(here)) return { issues: [foreign(catalog)] };
  return here.version === catalog.version ? { issues: [ambiguous(catalog)] } : { catalog, here };
}

const foreign = ({ id }: Catalog) =>
  issue("id", `"${id}", which comes with the program and is another there`, "an id of its own");

const ambiguous = ({ version }: Catalog) =>
  issue(
    "version",
    `"${version}", where the catalog of this id and version that is here holds something else`,
    "another version, which takes the place of the one here, or another id",
  );
