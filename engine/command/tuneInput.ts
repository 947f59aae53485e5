/** What `fitful tune` reads: tables of past tickets in any number, tallies, closed tickets of our own. */
import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { parseJson } from "../json.js";
import { Gathered } from "../learn/gather.js";
import { beginningOf, Intake, MOST_HEAD, type IntakeOptions } from "../learn/intake.js";
import type { Space } from "../learn/space.js";
import { TableFault } from "../learn/table/records.js";
import type { TableCount } from "../learn/table/reader.js";
import type { Matching } from "../learn/table/matching.js";
import { issue } from "../issue.js";
import { parseTicket } from "../ticket/parse.js";
import type { Issue } from "../weighing.js";
import { nameOf, STANDARD_INPUT, whyUnreadable } from "./files.js";
import { InputFaults } from "./reply.js";

/** Small pieces die young: large ones would wait for the big collection. */
const PIECE = 1 << 16;

/** What became of one file. */
export interface FileRead {
  file: string;
  matching: Matching | null;
  /** null for a tally and for a ticket of our own */
  count: TableCount | null;
  /** why a closed ticket of our own taught nothing */
  note: string | null;
}

export async function readPast(
  files: readonly string[],
  space: Space,
  options: IntakeOptions,
): Promise<{ gathered: Gathered; read: FileRead[] }> {
  const [own, tables] = await ownAndTables(files);
  // tables first: whether tickets are left out by time is for them to say
  let gathered: Gathered | null = null;
  const read: FileRead[] = [];
  for (const file of await datedLast(tables, space, options)) {
    const intake: Intake = new Intake(space, options, gathered);
    const { count, issues } = await readTable(file, intake);
    if (issues.length > 0) throw new InputFaults({ file: nameOf(file), issues });
    gathered = intake.gathered!;
    read.push({ file: nameOf(file), matching: count && intake.matching, count, note: null });
  }
  gathered ??= new Gathered(space, true);
  for (const file of own)
    read.push({ file: nameOf(file), matching: null, count: null, note: await readOwn(file, gathered) });
  return { gathered, read };
}

async function ownAndTables(files: readonly string[]): Promise<[own: string[], tables: string[]]> {
  const [own, tables]: [string[], string[]] = [[], []];
  for (const file of files) ((await isJson(file)) ? own : tables).push(file);
  return [own, tables];
}

/** One table without days is enough to leave tickets out by their numbers: the first that is read decides. */
async function datedLast(tables: string[], space: Space, { matching }: IntakeOptions): Promise<string[]> {
  if (tables.length < 2 || matching) return tables;
  const dated = await Promise.all(tables.map((file) => hasDays(file, space)));
  return [...tables.filter((_, k) => !dated[k]), ...tables.filter((_, k) => dated[k])];
}

/** What is taken for what in a table, from its beginning. */
export async function proposalOf(file: string, space: Space): Promise<Matching> {
  const head = await headOf(file, MOST_HEAD);
  try {
    return beginningOf(head, space, head.length < MOST_HEAD).matching;
  } catch (error) {
    if (error instanceof TableFault) throw new InputFaults({ file, issues: [error.issue] });
    throw error;
  }
}

async function hasDays(file: string, space: Space): Promise<boolean> {
  if (file === STANDARD_INPUT) return true;
  const head = await headOf(file, PIECE);
  try {
    const { isTally, matching } = beginningOf(head, space);
    return isTally || matching.columns.closed !== undefined; // a tally has no tickets to leave out
  } catch (error) {
    if (error instanceof TableFault) return false; // said when it is read
    throw error;
  }
}

async function readTable(
  file: string,
  intake: Intake,
): Promise<{ count: TableCount | null; issues: Issue[] }> {
  const stream = file === STANDARD_INPUT ? process.stdin : createReadStream(file, { highWaterMark: PIECE });
  try {
    for await (const bytes of stream as AsyncIterable<Buffer>) intake.push(bytes);
    return intake.end();
  } catch (error) {
    if (error instanceof TableFault) throw new InputFaults({ file: nameOf(file), issues: [error.issue] });
    if ((error as NodeJS.ErrnoException).code === undefined) throw error;
    throw unreadable(file, error);
  }
}

/** A file of our own begins with a brace; no heading of a table does. */
async function isJson(file: string): Promise<boolean> {
  if (file === STANDARD_INPUT) return false;
  return /^\uFEFF?\s*\{/.test((await headOf(file, 64)).toString("utf8"));
}

async function headOf(file: string, bytes: number): Promise<Buffer> {
  const head = Buffer.alloc(bytes);
  try {
    const handle = await open(file);
    try {
      const { bytesRead } = await handle.read(head, 0, bytes, 0);
      return head.subarray(0, bytesRead);
    } finally {
      await handle.close();
    }
  } catch (error) {
    throw unreadable(file, error);
  }
}

const unreadable = (file: string, error: unknown) =>
  new InputFaults({
    file: nameOf(file),
    issues: [issue("file", whyUnreadable(error), "a table of past tickets")],
  });

/** @returns what a ticket, or those of a backup, did not teach */
async function readOwn(file: string, gathered: Gathered): Promise<string | null> {
  const chunks: Buffer[] = [];
  for await (const bytes of createReadStream(file) as AsyncIterable<Buffer>) chunks.push(bytes);
  const text = Buffer.concat(chunks).toString("utf8");
  if (BACKUP.test(text)) return readBackup(text, gathered);
  const data = parseJson(text);
  const added = "issues" in data ? data : await addOwn(data.data, gathered);
  if ("issues" in added) throw new InputFaults({ file: nameOf(file), issues: added.issues });
  return added.note;
}

async function addOwn(data: unknown, gathered: Gathered) {
  const parsed = parseTicket(data);
  if ("issues" in parsed) return parsed;
  const { addOwnTicket } = await import("../learn/own.js"); // the whole engine, which a table does not need
  return addOwnTicket(gathered, parsed.ticket);
}

/** The explorer's backup: a line of JSON for each thing it holds. */
const BACKUP = /^\uFEFF?\s*\{\s*"format"\s*:\s*"fitful\/backup@/;

/** @returns why it teaches nothing; null where it was added, undefined where it is no ticket */
async function ofBackup(held: unknown, gathered: Gathered): Promise<string | null | undefined> {
  const { kind, ticket, takenOff } = (held ?? {}) as Record<string, unknown>;
  if (kind !== "ticket") return undefined;
  if (takenOff !== undefined) return "taken off the bench";
  const added = await addOwn(ticket, gathered);
  return "issues" in added ? added.issues[0]!.message : added.note;
}

/** Tickets of the bench that can teach something; of the others, why not. */
async function readBackup(text: string, gathered: Gathered): Promise<string> {
  const notes = new Map<string, number>();
  let taken = 0;
  for (const [k, line] of text.split("\n").entries()) {
    if (k === 0 || line.trim() === "") continue;
    const data = parseJson(line);
    const note = "issues" in data ? `line ${k + 1} does not read` : await ofBackup(data.data, gathered);
    if (note === undefined) continue;
    if (note === null) taken++;
    else notes.set(note, (notes.get(note) ?? 0) + 1);
  }
  const left = [...notes].map(([note, n]) => `${n}: ${note}`);
  return [`a backup, ${taken} closed tickets taken in`, ...left].join("; ");
}
