/**
 * Two windows have changed one record since it was last the same in both: what both did, in one record.
 *
 * What one side changed is taken; what both added stands, theirs first. An entry that one side deleted and the other
 * changed stays, and is deleted no longer. Where both changed one value to different ends, theirs is kept and the clash is reported.
 */
import { isObject, keysOf, same, spliced, spliceOf, type Path, type Plain } from "./plain.js";

export interface Clash {
  path: Path;
  mine: unknown;
  theirs: unknown;
}

export interface Merged<T> {
  value: T;
  clashes: Clash[];
}

export function merge<T>(base: T, mine: T, theirs: T): Merged<T> {
  const clashes: Clash[] = [];
  const value = three(base, renamed(base, mine, theirs), theirs, [], clashes);
  return { value: standing(value) as T, clashes };
}

function three(base: unknown, mine: unknown, theirs: unknown, path: Path, clashes: Clash[]): unknown {
  if (same(mine, theirs) || same(base, mine)) return theirs;
  if (same(base, theirs)) return mine;
  if (path.length === 1 && path[0] === "deleted") return deletions(base, mine, theirs, path, clashes);
  if (isObject(mine) && isObject(theirs))
    return objects(isObject(base) ? base : {}, mine, theirs, path, clashes);
  if (Array.isArray(base) && Array.isArray(mine) && Array.isArray(theirs)) {
    const merged = [...base, ...mine, ...theirs].every(named)
      ? byId(base, mine, theirs, path, clashes)
      : lists(base, mine, theirs, path, clashes);
    if (merged) return merged;
  }
  clashes.push({ path, mine, theirs });
  return theirs;
}

function objects(base: Plain, mine: Plain, theirs: Plain, path: Path, clashes: Clash[]): Plain {
  const merged: Plain = {};
  for (const key of keysOf(theirs, mine)) {
    const value = three(base[key], mine[key], theirs[key], [...path, key], clashes);
    if (value !== undefined) merged[key] = value;
  }
  return merged;
}

interface Named {
  id: string;
}
const named = (item: unknown): item is Named => isObject(item) && typeof item["id"] === "string";

/** Items with ids, such as entries and parts. */
function byId(base: Named[], mine: Named[], theirs: Named[], path: Path, clashes: Clash[]): Named[] {
  const [was, here, there] = [base, mine, theirs].map((list) => new Map(list.map((item) => [item.id, item])));
  const merged = (id: string): Named[] => {
    const [b, m, t] = [was!.get(id), here!.get(id), there!.get(id)];
    if (m && t) return [three(b, m, t, [...path, id], clashes) as Named];
    const left = m ?? t;
    return left && !(b && same(b, left)) ? [left] : []; // not there any more on the other side, and unchanged on this
  };
  const order = same(
    ids(base).filter((id) => here!.has(id)),
    ids(mine).filter((id) => was!.has(id)),
  )
    ? woven(ids(theirs), ids(mine), was!)
    : woven(ids(mine), ids(theirs), was!);
  return order.flatMap(merged);
}

const ids = (list: readonly Named[]) => list.map((item) => item.id);

/** `frame` with what only `other` has, each behind its neighbour and behind what the frame added there. */
function woven(frame: string[], other: string[], base: ReadonlyMap<string, unknown>): string[] {
  const order = [...frame];
  let before = -1;
  for (const id of other) {
    const known = order.indexOf(id);
    if (known >= 0) before = known;
    else {
      do before++;
      while (before < order.length && !base.has(order[before]!));
      order.splice(before, 0, id);
    }
  }
  return order;
}

/** An entry that was taken out of the record. */
interface Gone {
  entry: Named;
  before?: string;
}
/** What holds entries: in the record, and taken out of it. */
interface Holds {
  entries: Named[];
  deleted?: Gone[];
}
const holds = (value: unknown): value is Holds => isObject(value) && Array.isArray(value["entries"]);
const goneIn = (list: unknown): Gone[] => (list ?? []) as Gone[];

/** Deleted entries, each under the id of its entry: a side that never deleted any has no list. */
function deletions(base: unknown, mine: unknown, theirs: unknown, path: Path, clashes: Clash[]): unknown {
  const [was, here, there] = [base, mine, theirs].map((list) =>
    goneIn(list).map((gone) => ({ ...gone, id: gone.entry.id })),
  );
  const merged = byId(was!, here!, there!, path, clashes) as (Gone & Named)[];
  return merged.length > 0 ? merged.map(({ id: _, ...gone }) => gone) : undefined;
}

/** What stands in the record is not deleted too: brought back from there it would count twice. */
function standing(value: unknown): unknown {
  if (!holds(value) || !value.deleted) return value;
  const { deleted, ...rest } = value;
  const left = deleted.filter(({ entry }) => !ids(value.entries).includes(entry.id));
  if (left.length === deleted.length) return value;
  return left.length > 0 ? { ...rest, deleted: left } : rest;
}

/** Both sides may have given one id to different new entries, deleted since or not: mine takes another. */
function renamed<T>(base: T, mine: T, theirs: T): T {
  if (!holds(base) || !holds(mine) || !holds(theirs)) return mine;
  const [was, here, there] = [base, mine, theirs].map(
    ({ entries, deleted }) =>
      new Map([...entries, ...goneIn(deleted).map(({ entry }) => entry)].map((item) => [item.id, item])),
  );
  const taken = new Set([...was!.keys(), ...here!.keys(), ...there!.keys()]);
  const other = new Map<string, string>();
  for (const [id, item] of here!) {
    if (was!.has(id) || !there!.has(id) || same(there!.get(id), item)) continue;
    let n = taken.size;
    while (taken.has(`e${n}`)) n++;
    taken.add(`e${n}`);
    other.set(id, `e${n}`);
  }
  return other.size > 0 ? withIds(mine, other) : mine;
}

function withIds<T extends Holds>(value: T, other: ReadonlyMap<string, string>): T {
  const own = <N extends Named>(item: N): N => ({ ...item, id: other.get(item.id) ?? item.id });
  const deleted = value.deleted?.map(({ entry, before, ...gone }) => ({
    ...gone,
    entry: own(entry),
    ...(before !== undefined && { before: other.get(before) ?? before }),
  }));
  return { ...value, entries: value.entries.map(own), ...(deleted && { deleted }) };
}

/** Items without ids, such as starts: changes at different places are both made. Null where they overlap. */
function lists(
  base: unknown[],
  mine: unknown[],
  theirs: unknown[],
  path: Path,
  clashes: Clash[],
): unknown[] | null {
  const [m, t] = [spliceOf(base, mine), spliceOf(base, theirs)];
  const bothAdded = m.at === t.at && m.was.length === 0 && t.was.length === 0;
  if (m.at + m.was.length <= t.at && !bothAdded) return spliced(spliced(base, t), m);
  if (t.at + t.was.length <= m.at) return spliced(spliced(base, m), t);
  if (base.length === mine.length && base.length === theirs.length)
    return base.map((item, i) => three(item, mine[i], theirs[i], [...path, i], clashes));
  return null;
}
