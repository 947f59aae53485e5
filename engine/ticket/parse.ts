/**
 * Unknown data → a ticket or a catalog, or every fault in it at once.
 */
import { z } from "zod";
import { Catalog, CATALOG_FORMAT } from "../catalog/schema.js";
import { issue } from "../issue.js";
import type { Issue } from "../weighing.js";
import { Ticket, TICKET_FORMAT } from "./schema.js";
import { migrate } from "./migrations.js";
import { checkCatalog } from "./checkCatalog.js";
import { nearest } from "./nearest.js";

export type Parsed<K extends string, T> = { [key in K]: T } | { issues: Issue[] };

export function parseTicket(data: unknown): Parsed<"ticket", Ticket> {
  const wrong = formatIssue(data, TICKET_FORMAT);
  if (wrong) return { issues: [wrong] };
  const { data: ticket, error } = Ticket.safeParse(migrate(data));
  return error ? { issues: issuesOf(error, data) } : { ticket };
}

export function parseCatalog(data: unknown): Parsed<"catalog", Catalog> {
  const wrong = formatIssue(data, CATALOG_FORMAT);
  if (wrong) return { issues: [wrong] };
  const { data: catalog, error } = Catalog.safeParse(migrate(data));
  if (error) return { issues: issuesOf(error, data) };
  const issues = checkCatalog(catalog, "");
  return issues.length > 0 ? { issues } : { catalog };
}

function formatIssue(data: unknown, wanted: string): Issue | null {
  if (typeof data !== "object" || data === null || Array.isArray(data))
    return issue("", show(data), "an object");
  const { format } = data as { format?: unknown };
  if (format === wanted) return null;
  const [kind, version] = wanted.split("@");
  const newer =
    typeof format === "string" &&
    format.startsWith(`${kind}@`) &&
    Number(format.split("@")[1]) > Number(version);
  return issue(
    "format",
    show(format),
    newer ? `at most ${wanted}: this file is from a newer version of fitful` : `"${wanted}"`,
  );
}

/** zod's issues with what was found. The branches of a union are folded into its likeliest one. */
function issuesOf(error: z.ZodError, data: unknown): Issue[] {
  return error.issues.flatMap((one) => flatten(one, [], data));
}

type ZodIssue = z.core.$ZodIssue;

function flatten(one: ZodIssue, above: PropertyKey[], data: unknown): Issue[] {
  const path = [...above, ...one.path];
  if (one.code === "invalid_union" && one.errors.length > 0) {
    const value = at(data, path);
    const fitting = one.errors.filter(
      (branch) => !branch.some((b) => b.path.length === 0 && b.code === "invalid_type"),
    );
    const branch = fitting.sort((x, y) => depth(y) - depth(x))[0];
    if (branch && depth(branch) > 0) return branch.flatMap((b) => flatten(b, path, data));
    const wanted = [...new Set(one.errors.flat().map(expectation))].join(" or ");
    return [issue(pathText(path), show(value), wanted)];
  }
  if (one.code === "unrecognized_keys")
    return one.keys.map((key) =>
      issue(pathText([...path, key]), "a key that is not known here", "only the keys of the format"),
    );
  return [issue(pathText(path), show(at(data, path)), expectation(one))];
}

const depth = (branch: readonly ZodIssue[]) => branch.reduce((most, b) => Math.max(most, b.path.length), 0);

function expectation(one: ZodIssue): string {
  switch (one.code) {
    case "invalid_type":
      return one.expected === "record"
        ? "an object"
        : `${/^[aeiou]/.test(one.expected) ? "an" : "a"} ${one.expected}`;
    case "invalid_value":
      return `one of ${one.values.map((v) => JSON.stringify(v)).join(", ")}`;
    case "too_small":
      return `${one.origin === "number" ? "a number" : `a length`} ${one.inclusive ? "of at least" : "above"} ${String(one.minimum)}`;
    case "too_big":
      return `${one.origin === "number" ? "a number" : `a length`} ${one.inclusive ? "of at most" : "below"} ${String(one.maximum)}`;
    case "invalid_union":
      return "a known kind of entry";
    default:
      return one.message.replace(/^expected /, "");
  }
}

const at = (data: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>(
    (value, key) =>
      typeof value === "object" && value !== null && Object.hasOwn(value, key)
        ? (value as Record<PropertyKey, unknown>)[key]
        : undefined,
    data,
  );

/** a[3].b */
export const pathText = (path: readonly PropertyKey[]): string =>
  path
    .map((key, k) => (typeof key === "number" ? `[${key}]` : `${k === 0 ? "" : "."}${String(key)}`))
    .join("");

/** A value in few words. */
export function show(value: unknown): string {
  if (value === undefined) return "nothing";
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === "object" && value !== null) return "an object";
  const text = typeof value === "number" ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > 80 ? `${text.slice(0, 77)}…` : text;
}

/** An issue for an id that does not exist, with the nearest that does. */
export function unknownId(path: string, id: string, what: string, known: readonly string[]): Issue {
  const guess = nearest(id, known);
  const list = known.length > 12 ? `${known.slice(0, 12).join(", ")} …` : known.join(", ") || "none here";
  return issue(
    path,
    `${what} ${JSON.stringify(id)}`,
    guess ? `"${guess}", the nearest of ${known.length} known` : `one of ${list}`,
  );
}
