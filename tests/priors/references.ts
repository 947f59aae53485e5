/** What the exposures of a catalog ask about and the catalog does not define. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Problem } from "./walk.js";

/** Every name inside `is`, `count`, `at` and `filled` that leads nowhere: such a question is answered 0 for ever. */
export function strangersInExposures(catalog: Catalog): Problem[] {
  const kinds = catalog.parts.map((p) => p.id);
  const positions = catalog.positions.map((p) => p.id);
  const choices = new Map<string, string[]>([
    ...(catalog.settings ?? []).map((s) => [s.id, s.values.map((v) => v.id)] as const),
    ...(catalog.conditions ?? []).map((c) => [c.id, c.classes.map((x) => x.id)] as const),
  ]);
  return catalog.causes.flatMap(({ id, exposure }) =>
    questions(exposure).flatMap(([asked, name = "", value = ""]): Problem[] => {
      const known =
        asked === "count"
          ? kinds.includes(name)
          : asked === "is"
            ? choices.get(name)?.includes(value)
            : positions.includes(name);
      return known
        ? []
        : [
            {
              path: `causes.${id}.exposure`,
              found: `${asked}(${name}${value && `, ${value}`})`,
              expected: "a name of the catalog",
            },
          ];
    }),
  );
}

/** [function, arguments …] of each question in an exposure. */
function questions(exposure: string | number | undefined): string[][] {
  if (typeof exposure !== "string") return [];
  return [...exposure.matchAll(/\b(is|count|at|filled)\(([^)]*)\)/g)].map((match) => [
    match[1]!,
    ...[...match[2]!.matchAll(/"([^"]*)"/g)].map((text) => text[1]!),
  ]);
}
