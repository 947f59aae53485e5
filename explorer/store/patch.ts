/**
 * One step of work as the smallest difference that holds it, so that the way back fits in the database beside the
 * ticket. Going back is the same step with its sides changed over.
 */
import { isObject, keysOf, same, spliced, spliceOf, type Path, type Splice } from "./plain.js";

/** At `path` a value is replaced (undefined: not there), or part of a list; `by` names the window that did it. */
export type Patch = { path: Path; by?: string } & ({ was: unknown; now: unknown; at?: never } | Splice);

/** null: nothing differs */
export function diff(before: unknown, after: unknown, path: Path = []): Patch | null {
  if (same(before, after)) return null;
  if (Array.isArray(before) && Array.isArray(after)) {
    const splice = spliceOf(before, after);
    const [was, now] = [splice.was, splice.now];
    return was.length === 1 && now.length === 1
      ? diff(was[0], now[0], [...path, splice.at])
      : { path, ...splice };
  }
  if (isObject(before) && isObject(after)) {
    const [key, ...others] = keysOf(before, after).filter((k) => !same(before[k], after[k]));
    if (key !== undefined && others.length === 0) return diff(before[key], after[key], [...path, key]);
  }
  return { path, was: before, now: after };
}

export const back = (patch: Patch): Patch => ({ ...patch, was: patch.now, now: patch.was }) as Patch;

/** The value after the step; what the step does not touch is shared. */
export function applied<T>(value: T, patch: Patch): T {
  return within(value, patch.path, (found) =>
    patch.at === undefined ? patch.now : spliced(found as unknown[], patch),
  ) as T;
}

/** Items of a list are named by their place or by their id, deleted entries by that of the entry. */
function within(value: unknown, [key, ...rest]: Path, change: (found: unknown) => unknown): unknown {
  if (key === undefined) return change(value);
  if (Array.isArray(value))
    return value.map((item: { id?: unknown; entry?: { id?: unknown } }, i) =>
      i === key || (item.id ?? item.entry?.id) === key ? within(item, rest, change) : item,
    );
  const { [key]: found, ...others } = value as Record<string | number, unknown>;
  const next = within(found, rest, change);
  if (next === undefined) return others;
  return key in (value as object) ? { ...(value as object), [key]: next } : { ...others, [key]: next };
}
