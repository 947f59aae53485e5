/** What is proposed for a table, by what is known of the last one like it. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Beginning } from "../../engine/learn/intake.js";
import { spaceOf } from "../../engine/learn/space.js";
import { proposeMatching, ROLE_NAMES, type Matching, type Role } from "../../engine/learn/table/matching.js";
import type { Remembered } from "./remembered.js";

/** How the file is written is told by the file; what its columns and words mean may be known from the last one like it. */
export function matchingOf(beginning: Beginning, known: Remembered | null, catalog: Catalog): Matching {
  if (known === null) return beginning.matching;
  const { columns, stopsAt, words } = known;
  const { decimal, days } = marksOf(beginning, columns, catalog);
  return { ...beginning.matching, columns, stopsAt, words, decimal, days };
}

/** Decimal mark and day order, from the cells of the columns that hold figures and days. */
export function marksOf(
  { heading, rows, matching }: Beginning,
  columns: Matching["columns"],
  catalog: Catalog,
): Pick<Matching, "decimal" | "days"> {
  // what was proposed for these very columns rests on more rows than are shown
  const isProposed = (role: Role) => columns[role] === matching.columns[role];
  if (isProposed("closed") && isProposed("age") && isProposed("minutes")) return matching;
  // the engine looks for columns by what they are called: each is called by what it holds
  const named = heading.map((name) => ROLE_NAMES.find((role) => columns[role] === name) ?? "");
  return proposeMatching([named, ...rows], matching, spaceOf(catalog));
}
