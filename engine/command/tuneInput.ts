/** What `fitful tune` reads: tables of past tickets in any number, tallies, closed tickets of our own. */
import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { parseJson } from "../json.js";
import { Gathered } from "../learn/gather.js";
import { Intake, type IntakeOptions } from "../learn/intake.js";
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
  let gathered: Gathered | null = null;
  const read: FileRead[] = [];
  for (const file of files) {
    if (await isJson(file)) {
      gathered ??= new Gathered(space, true);
      read.push({ file: nameOf(file), matching: null, count: null, note: await readOwn(file, gathered) });
      continue;
    }
    const intake: Intake = new Intake(space, options, gathered);
    const { count, issues } = await readTable(file, intake);
    if (issues.length > 0) throw new InputFaults({ file: nameOf(file), issues });
    gathered = intake.gathered!;
    read.push({ file: nameOf(file), matching: intake.matching, count, note: null });
  }
  return { gathered: gathered ?? new Gathered(space, false), read };
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
  const head = Buffer.alloc(64);
  try {
    const handle = await open(file);
    try {
      const { bytesRead } = await handle.read(head, 0, head.length, 0);
      return /^\uFEFF?\s*\{/.test(head.toString("utf8", 0, bytesRead));
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

async function readOwn(file: string, gathered: Gathered): Promise<string | null> {
  const chunks: Buffer[] = [];
  for await (const bytes of createReadStream(file) as AsyncIterable<Buffer>) chunks.push(bytes);
  const data = parseJson(Buffer.concat(chunks).toString("utf8"));
  const parsed = "issues" in data ? data : parseTicket(data.data);
  if ("issues" in parsed) throw new InputFaults({ file: nameOf(file), issues: parsed.issues });
  const { addOwnTicket } = await import("../learn/own.js"); // the whole engine, which a table does not need
  const added = addOwnTicket(gathered, parsed.ticket);
  if ("issues" in added) throw new InputFaults({ file: nameOf(file), issues: added.issues });
  return added.note;
}
