/**
 * Everything of this browser as one file, and back: a line of JSON for each thing, the first line saying what follows,
 * so that of a file that was cut off or damaged the rest can still be read, and every fault has its line.
 * Undo steps stay behind.
 *
 * Version 2 has the currency of a ticket in it. In version 1 it stood beside the ticket, or was the shop's.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { isCurrency } from "../../engine/ticket/currency.js";
import { parseCatalog, parseTicket } from "../../engine/ticket/parse.js";
import type { Issue } from "../../engine/weighing.js";
import { fromBase64, toBase64 } from "./base64.js";
import { inCurrency } from "./currency.js";
import { database, type StoredPhoto, type StoredTicket } from "./database.js";
import { isObject } from "./plain.js";
import { readShop, shopIssues, type Shop } from "./shop.js";
import { allTickets } from "./tickets.js";

export const BACKUP_FORMAT = "fitful/backup@2";
const OLDER_FORMAT = "fitful/backup@1";

/** What a backup holds. */
export interface Backup {
  tickets: Pick<StoredTicket, "ticket" | "savedAt" | "takenOff">[];
  catalogs: Catalog[];
  photos: StoredPhoto[];
  shop: Shop | null;
}

/** Everything there is. */
export async function backupFile(made: string): Promise<Blob> {
  const db = await database();
  const [tickets, catalogs, photos] = await Promise.all([
    allTickets(),
    db.getAll("catalogs"),
    db.getAll("photos"),
  ]);
  return written({ tickets, catalogs, photos, shop: await readShop() }, made);
}

/** A backup as a file. */
export async function written({ tickets, catalogs, photos, shop }: Backup, made: string): Promise<Blob> {
  const holds = { tickets: tickets.length, catalogs: catalogs.length, photos: photos.length };
  const lines: string[] = [line({ format: BACKUP_FORMAT, made, holds })];
  if (shop) lines.push(line({ kind: "shop", shop }));
  lines.push(...catalogs.map((catalog) => line({ kind: "catalog", catalog })));
  for (const { ticket, savedAt, takenOff } of tickets)
    lines.push(line({ kind: "ticket", ticket, savedAt, takenOff }));
  for (const { id, tickets: of, blob } of photos)
    lines.push(line({ kind: "photo", id, tickets: of, type: blob.type, base64: await toBase64(blob) }));
  return new Blob(lines, { type: "application/json" });
}

const line = (data: unknown) => JSON.stringify(data) + "\n";

/** All that can be read, and everything that is wrong, each with its line. */
export async function readBackup(file: Blob): Promise<{ backup: Backup; issues: Issue[] }> {
  const backup: Backup = { tickets: [], catalogs: [], photos: [], shop: null };
  const issues: Issue[] = [];
  let number = 0;
  let holds: Record<string, number> = {};
  let isOlder = false;
  for await (const text of linesOf(file)) {
    number++;
    const data = objectOf(text);
    if (number === 1) isOlder = data?.["format"] === OLDER_FORMAT;
    const present = isOlder ? broughtUp(data, backup.shop) : data;
    const faults = number === 1 ? headerFaults(data) : take(present, backup);
    issues.push(...faults.map((one) => at(number, one)));
    if (number === 1 && faults.length > 0) return { backup, issues };
    if (number === 1) holds = { ...(data!["holds"] as Record<string, number> | undefined) };
  }
  if (number === 0) issues.push(fault("line 1", "an empty file", "a backup"));
  for (const kind of ["tickets", "catalogs", "photos"] as const)
    if ((holds[kind] ?? 0) > backup[kind].length)
      issues.push(
        fault(
          "file",
          `${backup[kind].length} ${kind} that can be read`,
          `${holds[kind]}, as its first line says`,
        ),
      );
  return { backup, issues };
}

type Data = Record<string, unknown>;

function objectOf(text: string): Data | null {
  try {
    const data = JSON.parse(text) as unknown;
    return typeof data === "object" && data !== null ? (data as Data) : null;
  } catch {
    return null;
  }
}

const headerFaults = (data: Data | null): Issue[] =>
  data?.["format"] === BACKUP_FORMAT || data?.["format"] === OLDER_FORMAT
    ? []
    : [fault("format", String(JSON.stringify(data?.["format"]) ?? "nothing"), `"${BACKUP_FORMAT}"`)];

/** A line of version 1 as version 2 would have it; the shop's line comes before those of tickets. */
function broughtUp(data: Data | null, shop: Shop | null): Data | null {
  const { kind, ticket, currency = shop?.currency } = data ?? {};
  if (kind !== "ticket" || !isObject(ticket) || !isCurrency(currency)) return data;
  return { ...data, ticket: inCurrency(ticket as Ticket, currency) };
}

/** Adds what a line holds; what is wrong with it otherwise. */
function take(data: Data | null, backup: Backup): Issue[] {
  if (data === null) return [fault("", "no whole line of JSON", "one object to a line")];
  const { kind, ticket, catalog, photo } = { ...data, photo: data } as Data;
  if (kind === "ticket") {
    const parsed = parseTicket(ticket);
    if ("issues" in parsed) return parsed.issues;
    const { savedAt = "", takenOff } = data;
    backup.tickets.push({
      ticket: parsed.ticket,
      savedAt: String(savedAt),
      ...(typeof takenOff === "string" && { takenOff }),
    });
  } else if (kind === "catalog") {
    const parsed = parseCatalog(catalog);
    if ("issues" in parsed) return parsed.issues;
    backup.catalogs.push(parsed.catalog);
  } else if (kind === "shop") {
    const faults = shopIssues(data["shop"]);
    if (faults.length > 0) return faults;
    backup.shop = data["shop"] as Shop;
  } else if (kind === "photo") {
    const stored = photoOf(photo as Data);
    if (!stored) return [fault("photo", "something else", "id, tickets, type and base64")];
    backup.photos.push(stored);
  } else return [fault("kind", String(JSON.stringify(kind) ?? "nothing"), "ticket, catalog, photo or shop")];
  return [];
}

function photoOf({ id, tickets, type, base64 }: Data): StoredPhoto | null {
  if (typeof id !== "string" || typeof type !== "string" || typeof base64 !== "string") return null;
  if (!Array.isArray(tickets) || !tickets.every((t) => typeof t === "string")) return null;
  const blob = fromBase64(base64, type);
  return blob && { id, tickets, blob };
}

const fault = (path: string, found: string, expected: string): Issue => ({
  path,
  found,
  expected,
  message: `${path || "file"}: found ${found}, expected ${expected}`,
});

const at = (number: number, { path, found, expected }: Issue): Issue =>
  fault(path === "" ? `line ${number}` : `line ${number}, ${path}`, found, expected);

/** Line by line, so that a file of many photographs is never one string. */
async function* linesOf(file: Blob): AsyncGenerator<string> {
  const reader = file
    .stream()
    .pipeThrough(new TextDecoderStream() as TransformStream<Uint8Array, string>)
    .getReader();
  let rest = "";
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    const parts = (rest + read.value).split("\n");
    rest = parts.pop()!;
    yield* parts.filter((part) => part.trim() !== "");
  }
  if (rest.trim() !== "") yield rest;
}
