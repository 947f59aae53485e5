/** `fitful tune TABLE…`: priors learned from past tickets, as a catalog that says where its figures come from. */
import { createWriteStream, realpathSync, type WriteStream } from "node:fs";
import { writeFile } from "node:fs/promises";
import { once } from "node:events";
import { resolve } from "node:path";
import Papa from "papaparse";
import { z } from "zod";
import type { Gathered } from "../learn/gather.js";
import type { Beginning } from "../learn/intake.js";
import { minutesOf, type MinutesView, type PairRow } from "../learn/score/saved.js";
import { spaceOf, type Space } from "../learn/space.js";
import { Matching, matchingIssues } from "../learn/table/matching.js";
import { rejectedHeading, rejectedLine } from "../learn/table/reader.js";
import { TALLY_COLUMNS, tallyRows } from "../learn/tally/table.js";
import { tune as tuned } from "../learn/tune.js";
import { undone } from "../learn/undo.js";
import { issue } from "../issue.js";
import type { Issue } from "../weighing.js";
import { parseCatalog, pathText } from "../ticket/parse.js";
import { catalogFor, readCatalog } from "./catalogs.js";
import { readJson, STANDARD_INPUT, whyUnreadable } from "./files.js";
import { CallFault, InputFaults, json, type Reply, type Values } from "./reply.js";
import { proposalOf, readPast, type FileRead } from "./tuneInput.js";
import { tuneReport } from "./tuneReport.js";
import { whole } from "./numbers.js";
import { counter } from "./progress.js";

const USUAL = "desktop";
const BY = "fitful 0.1.0";
/** Tickets that are worked to compare minutes. */
const MOST_LEFT = 1e5;

export async function tune(files: string[], values: Values): Promise<Reply> {
  if (files.length === 0) throw new CallFault("tune: found no table, expected at least one; see fitful help");
  const out = text(values, "out");
  refuseOverwriting(files, values);
  if (values.undo === true) return undo(files, out);
  const named = text(values, "catalog") ?? USUAL;
  const catalog = await catalogFor({ catalog: named }, "--catalog");
  const space = spaceOf(catalog);
  const matching = await matchingFrom(text(values, "matching"), space);
  if (values.propose === true) return propose(files, space);
  const worth = whole("worth", values, 1, 1e6);
  const left = whole("minutes", values, 2, MOST_LEFT);

  const rejects = new Rejects(text(values, "rejected"));
  const { gathered, read } = await readPast(files, space, {
    matching,
    begin: (beginning) => rejects.begin(beginning),
    rejected: (rejection, cells) => rejects.add(rejectedLine(rejection, cells)),
  });
  await rejects.end();
  const { tally } = gathered.all();
  const tallyFile = text(values, "tally");
  if (tallyFile !== undefined) await write(tallyFile, tallyText(tally, space));
  if (tally.tickets.every((n) => n === 0))
    throw new InputFaults({
      file: files.join(", "),
      issues: [issue("cause", nothingConfirmed(read), "at least one confirmed ticket"), ...rejections(read)],
    });

  const view = tuned(gathered, { columns: columnsOf(read), by: BY, ...(worth !== undefined && { worth }) });
  const minutes = left === undefined ? null : await minutesSaved(gathered, left, worth);
  const isKept = view.recommended !== false || values.anyway === true;
  if (out !== undefined && isKept) await write(out, json(view.tuned));
  const written = out !== undefined && isKept ? out : null;
  const { tuned: _, ...figures } = view;
  return {
    out:
      values.json === true
        ? json({ ...figures, minutes, read, written })
        : tuneReport(view, { read, minutes, asked: left, written, out }),
    code: isKept ? 0 : 1,
  };
}

/** Loaded when asked for: the planner and its machines are most of the engine. */
async function minutesSaved(gathered: Gathered, left: number, worth?: number): Promise<MinutesView | null> {
  const { pairRows, ticketsLeftOut } = await import("../learn/score/minutes.js");
  const chosen = ticketsLeftOut(gathered, left, worth === undefined ? {} : { worth });
  const tell = counter("tune", chosen.tickets.length);
  const rows: PairRow[] = [];
  for (const row of pairRows(chosen)) tell(rows.push(row));
  return minutesOf(rows);
}

async function propose(files: string[], space: Space): Promise<Reply> {
  const [file, ...others] = files;
  if (file === undefined || others.length > 0 || file === STANDARD_INPUT)
    throw new CallFault(`tune --propose: found ${files.join(", ")}, expected the file of one table`);
  return { out: json(await proposalOf(file, space)), code: 0 };
}

async function undo(files: string[], out: string | undefined): Promise<Reply> {
  const [file, ...others] = files;
  if (file === undefined || others.length > 0)
    throw new CallFault(`tune --undo: found ${files.length} files, expected one tuned catalog`);
  const back = undone(await readCatalog(file));
  if ("issues" in back) throw new InputFaults({ file, issues: back.issues });
  const checked = parseCatalog(back.catalog);
  if ("issues" in checked) throw new InputFaults({ file, issues: checked.issues });
  if (out === undefined) return { out: json(back.catalog), code: 0 };
  await write(out, json(back.catalog));
  return {
    out: `${out}: ${back.catalog.name}, version ${back.catalog.version}, as before it was tuned\n`,
    code: 0,
  };
}

function text(values: Values, name: string): string | undefined {
  const value = values[name];
  return typeof value === "string" ? value : undefined;
}

/** Files that are written; none of them may be one that is read, or another of them. */
const WRITTEN = ["out", "rejected", "tally"] as const;

/** @throws {CallFault} */
function refuseOverwriting(files: readonly string[], values: Values): void {
  const taken = new Map<string, string>();
  for (const file of files) {
    if (taken.has(placeOf(file))) throw new CallFault(`tune: found ${file} twice, expected every file once`);
    taken.set(placeOf(file), "a file that is read");
  }
  for (const name of ["matching", "catalog"]) {
    const file = text(values, name);
    if (file !== undefined) taken.set(placeOf(file), `the file of --${name}`);
  }
  for (const name of WRITTEN) {
    const file = text(values, name);
    if (file === undefined) continue;
    const what = file === STANDARD_INPUT ? "standard input" : taken.get(placeOf(file));
    if (what !== undefined) throw new CallFault(`--${name}: found ${file}, ${what}; expected another file`);
    taken.set(placeOf(file), `the file of --${name}`);
  }
}

/** Where a file really lies, links followed. */
function placeOf(file: string): string {
  try {
    return realpathSync(file);
  } catch {
    return resolve(file);
  }
}

async function matchingFrom(file: string | undefined, space: Space): Promise<Matching | null> {
  if (file === undefined) return null;
  const { data, error } = Matching.safeParse(await readJson(file));
  const issues = data
    ? matchingIssues(data, space)
    : error.issues.map((one: z.core.$ZodIssue) =>
        issue(pathText(one.path), one.message, "a matching of columns"),
      );
  if (data && issues.length === 0) return data;
  throw new InputFaults({ file, issues });
}

const MOST_REASONS = 8;

/** Why rows were rejected, and what was taken for what: without it nobody could mend the table or its matching. */
const rejections = (read: readonly FileRead[]): Issue[] =>
  read.flatMap(({ file, count, matching, note }) => [
    ...(note === null ? [] : [issue(file, note, "closed tickets with a confirmed cause")]),
    ...(count?.reasons ?? [])
      .slice(0, MOST_REASONS)
      .map(({ column, expected, rows }) =>
        issue(`${file}, ${heading(matching, column)}`, `${rows} rows with something else`, expected),
      ),
  ]);

const heading = (matching: Matching | null, column: string): string =>
  (matching?.columns as Record<string, string> | undefined)?.[column] ?? column;

const nothingConfirmed = (read: readonly FileRead[]): string => {
  const rows = read.reduce((sum, { count }) => sum + (count?.rows ?? 0), 0);
  const rejected = read.reduce((sum, { count }) => sum + (count?.rejected ?? 0), 0);
  const missing = read.some(({ matching, count }) => count && matching?.columns.cause === undefined);
  return `${rows} rows, ${rejected} rejected, none with a confirmed cause${missing ? "; no column was taken for the cause: --propose prints what was taken for what, --matching takes it corrected" : ""}`;
};

const columnsOf = (read: readonly FileRead[]): Record<string, string> =>
  Object.assign({}, ...read.map(({ matching }) => ({ ...matching?.columns, ...matching?.stopsAt })));

const tallyText = (tally: Parameters<typeof tallyRows>[0], space: Space): string =>
  Papa.unparse({ fields: [...TALLY_COLUMNS], data: tallyRows(tally, space) }, { newline: "\n" }) + "\n";

async function write(file: string, content: string): Promise<void> {
  try {
    await writeFile(file, content);
  } catch (error) {
    throw new InputFaults({
      file,
      issues: [issue("file", whyUnreadable(error), "a file that can be written")],
    });
  }
}

/** Rejected rows, to a file as they come: there may be a million. */
class Rejects {
  #stream: WriteStream | null = null;
  #failed: unknown = null;

  constructor(private readonly file: string | undefined) {}

  begin({ heading }: Beginning): void {
    if (this.file === undefined || this.#stream) return;
    this.#stream = createWriteStream(this.file);
    this.#stream.on("error", (error) => (this.#failed = error));
    this.add(rejectedHeading(heading));
  }

  add(line: string): void {
    this.#stream?.write(line);
  }

  async end(): Promise<void> {
    if (!this.#stream) return;
    this.#stream.end();
    if (!this.#stream.closed && !this.#failed)
      await Promise.race([once(this.#stream, "close"), once(this.#stream, "error")]);
    if (this.#failed)
      throw new InputFaults({
        file: this.file!,
        issues: [issue("file", whyUnreadable(this.#failed), "a file that can be written")],
      });
  }
}
