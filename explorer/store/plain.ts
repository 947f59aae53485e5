/** Plain data as a record holds it: compared and walked by value. Undefined stands for what is not there. */
export type Path = readonly (string | number)[];
export type Plain = Record<string, unknown>;

export const isObject = (value: unknown): value is Plain =>
  typeof value === "object" && value !== null && !Array.isArray(value);

export const keysOf = (...objects: Plain[]): string[] => [...new Set(objects.flatMap(Object.keys))];

/** Equal by value, whatever the order of keys. Records share what did not change, so identity answers most of it. */
export function same(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((item, i) => same(item, b[i]));
  return isObject(a) && isObject(b) && keysOf(a, b).every((key) => same(a[key], b[key]));
}

/** What replaces what in a list, common ends left out. */
export interface Splice {
  at: number;
  was: unknown[];
  now: unknown[];
}

export function spliceOf(before: readonly unknown[], after: readonly unknown[]): Splice {
  const shorter = Math.min(before.length, after.length);
  let at = 0;
  while (at < shorter && same(before[at], after[at])) at++;
  let end = 0;
  while (end < shorter - at && same(before.at(-1 - end), after.at(-1 - end))) end++;
  return { at, was: before.slice(at, before.length - end), now: after.slice(at, after.length - end) };
}

export const spliced = (list: readonly unknown[], { at, was, now }: Splice): unknown[] => [
  ...list.slice(0, at),
  ...now,
  ...list.slice(at + was.length),
];
