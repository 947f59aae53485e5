/**
 * Two windows have changed one record since it was last the same in both: what both did, in one record.
 *
 * What one side changed is taken; what both added stands, theirs first. An entry that one side deleted and the other
 * changed stays. Where both changed one value to different ends, theirs is kept and the clash is reported.
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
  return { value: three(base, mine, theirs, [], clashes) as T, clashes };
}

function three(base: unknown, mine: unknown, theirs: unknown, path: Path, clashes: Clash[]): unknown {
  if (same(mine, theirs) || same(base, mine)) return theirs;
  if (same(base, theirs)) return mine;
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
  const own = path[0] === "entries" ? renamed(base, mine, theirs) : mine;
  const [was, here, there] = [base, own, theirs].map((list) => new Map(list.map((item) => [item.id, item])));
  const merged = (id: string): Named[] => {
    const [b, m, t] = [was!.get(id), here!.get(id), there!.get(id)];
    if (m && t) return [three(b, m, t, [...path, id], clashes) as Named];
    const left = m ?? t;
    return left && !(b && same(b, left)) ? [left] : []; // not there any more on the other side, and unchanged on this
  };
  const order = same(
    ids(base).filter((id) => here!.has(id)),
    ids(own).filter((id) => was!.has(id)),
  )
    ? woven(ids(theirs), ids(own), was!)
    : woven(ids(own), ids(theirs), was!);
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

/** Both sides may have given one id to different new entries: mine takes another. */
function renamed(base: Named[], mine: Named[], theirs: Named[]): Named[] {
  const taken = new Set([...ids(base), ...ids(mine), ...ids(theirs)]);
  return mine.map((item) => {
    const other = theirs.find((t) => t.id === item.id);
    if (!other || same(other, item) || base.some((b) => b.id === item.id)) return item;
    let n = taken.size;
    while (taken.has(`e${n}`)) n++;
    taken.add(`e${n}`);
    return { ...item, id: `e${n}` };
  });
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
