/** Changes written into a catalog, and taken back out of it: undo gives the very catalog that was there before. */
import type { Catalog, Tuning } from "../catalog/schema.js";
import { issue } from "../issue.js";
import type { Issue } from "../weighing.js";

type Change = Tuning["changes"][number];
type Data = Record<string, unknown>;

/** A tuned catalog stands beside the one it was made from, under an id of its own. */
const TUNED = "-tuned";
export const tunedId = (id: string): string =>
  id.endsWith(TUNED) ? id : id.slice(0, 64 - TUNED.length) + TUNED;

/** @returns a catalog of its own; the changes with what stood there before */
export function withChanges(
  catalog: Catalog,
  changes: readonly Change[],
  version: string,
  tuning: Omit<Tuning, "changes" | "from">,
): Catalog {
  const copy = structuredClone(catalog);
  const from = { id: catalog.id, version: catalog.version };
  const all = [
    { path: ["id"], after: tunedId(catalog.id) },
    { path: ["version"], after: version },
    ...changes,
  ];
  const done = all.map(({ path, after }): Change => {
    const { holder, key } = holderOf(copy, path);
    const before = Object.hasOwn(holder, key) ? { before: holder[key] } : {};
    holder[key] = structuredClone(after);
    return { path, ...before, after };
  });
  const inside = catalog.tuned === undefined ? [] : [{ path: ["tuned"], before: catalog.tuned, after: null }];
  return { ...copy, tuned: { from, ...tuning, changes: [...done, ...inside] } };
}

/** The catalog before it was tuned, or what has been changed in it since. */
export function undone(catalog: Catalog): { catalog: Catalog } | { issues: Issue[] } {
  const { tuned, ...rest } = structuredClone(catalog);
  if (tuned === undefined) return { issues: [issue("tuned", "nothing", "a catalog that was tuned")] };
  const issues: Issue[] = [];
  const copy = rest as Catalog;
  for (const { path, after, ...change } of tuned.changes.toReversed()) {
    const { holder, key } =
      path[0] === "tuned" ? { holder: copy as unknown as Data, key: "tuned" } : holderOf(copy, path);
    if (key !== "tuned" && JSON.stringify(holder[key]) !== JSON.stringify(after))
      issues.push(issue(path.join("."), "another figure than tuning wrote", "none that was changed since"));
    if ("before" in change) holder[key] = change.before;
    else Reflect.deleteProperty(holder, key);
  }
  return issues.length > 0 ? { issues } : { catalog: copy };
}

/** Where a path ends: entries of lists are named by their id. @throws {RangeError} where there is no such entry */
function holderOf(catalog: Catalog, path: readonly string[]): { holder: Data; key: string } {
  let holder = catalog as unknown as Data | Data[];
  for (const key of path.slice(0, -1)) {
    const next = Array.isArray(holder) ? holder.find((x) => x.id === key) : holder[key];
    if (typeof next !== "object" || next === null)
      throw new RangeError(`${path.join(".")}: found no ${key}, expected one`);
    holder = next as Data | Data[];
  }
  return { holder: holder as Data, key: path.at(-1)! };
}
