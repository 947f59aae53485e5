/**
 * Conditions of a start: every combination of the catalog's classes.
 */
import type { Catalog } from "../catalog/schema.js";

/** Minutes of each condition, for every combination of classes at their typical minutes. */
export function classes(catalog: Catalog): Record<string, number>[] {
  return (catalog.conditions ?? []).reduce<Record<string, number>[]>(
    (all, condition) =>
      all.flatMap((minutes) => condition.classes.map((c) => ({ ...minutes, [condition.id]: c.typical }))),
    [{}],
  );
}
