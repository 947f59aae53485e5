/** The tuning worker: reads a table piece by piece, keeps what it gathered, fits. Cancelled by ending it. */
import "../strict.js";
import { beginningOf, HEAD, Intake, MOST_HEAD } from "../../engine/learn/intake.js";
import { Gathered } from "../../engine/learn/gather.js";
import { addOwnTicket } from "../../engine/learn/own.js";
import { ticketsLeftOut } from "../../engine/learn/score/minutes.js";
import { spaceOf, type Space } from "../../engine/learn/space.js";
import { rejectedHeading, rejectedLine } from "../../engine/learn/table/reader.js";
import { TableFault } from "../../engine/learn/table/records.js";
import type { Rejection } from "../../engine/learn/table/row.js";
import { tune } from "../../engine/learn/tune.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Answer, MatchedTable, Read, Request } from "./messages.js";
import { Strangers } from "./strangers.js";

const SHOWN = 200;
/** Lines of rejected rows that are joined before the browser takes them: it may keep them outside of memory. */
const JOINED = 2000;

let gathered: Gathered | null = null;
const say = (answer: Answer) => self.postMessage(answer);

async function begin({ catalog, file, written }: Extract<Request, { kind: "begin" }>): Promise<Answer> {
  for (let size = HEAD; ; size *= 2) {
    const head = new Uint8Array(await file.slice(0, size).arrayBuffer());
    const beginning = beginningOf(head, spaceOf(catalog), file.size <= size, written);
    if (!beginning.isUndecided || size >= Math.min(file.size, MOST_HEAD))
      return { kind: "beginning", beginning };
  }
}

async function read({ catalog, table, own }: Extract<Request, { kind: "read" }>): Promise<Answer> {
  const space = spaceOf(catalog);
  const rejects = new Rejects();
  const strangers = new Strangers(space, table?.matching.words ?? {});
  gathered = null;
  const came = table && (await taken(table, space, rejects, strangers));
  if (came && came.issues.length > 0) return { kind: "issues", issues: came.issues };
  const all = came?.gathered ?? new Gathered(space, own.every(isDated));
  const notes = addOwn(all, own);
  gathered = all;
  const { tally } = all.all();
  const confirmed = tally.tickets.reduce((sum, n) => sum + n, 0);
  const count = came?.count ?? null;
  const answer: Read = {
    count,
    confirmed,
    tickets: confirmed + tally.unconfirmed,
    rejected: rejects.first,
    file: rejects.blob(),
    strangers: strangers.with(count?.strangers ?? []),
    notes,
  };
  return { kind: "read", read: answer };
}

/** The rows of a table, piece by piece. */
async function taken({ file, matching }: MatchedTable, space: Space, rejects: Rejects, strangers: Strangers) {
  const intake = new Intake(space, {
    matching,
    begin: ({ heading }) => rejects.line(rejectedHeading(heading)),
    rejected: (rejection, cells) => {
      rejects.add(rejection, rejectedLine(rejection, cells));
      strangers.add(rejection);
    },
  });
  let done = 0;
  const stream = file.stream().getReader();
  for (let piece = await stream.read(); !piece.done; piece = await stream.read()) {
    intake.push(piece.value);
    done += piece.value.length;
    say({ kind: "progress", done, of: file.size });
  }
  return { ...intake.end(), gathered: intake.gathered! };
}

/** @returns which closed tickets of our own taught nothing, and why */
function addOwn(into: Gathered, own: readonly Ticket[]): string[] {
  const notes: string[] = [];
  own.forEach((ticket, k) => {
    const added = addOwnTicket(into, ticket);
    const why = "issues" in added ? added.issues.map((i) => i.message).join("; ") : added.note;
    if (why !== null) notes.push(`${ticket.title}: ${why}`);
    say({ kind: "progress", done: k + 1, of: own.length });
  });
  return notes;
}

/** Tickets are left out by quarters of a year only where every one tells its day. */
const isDated = ({ entries }: Ticket): boolean =>
  entries.some((e) => e.kind === "release" && e.at !== undefined);

class Rejects {
  readonly first: Rejection[] = [];
  #lines: string[] = [];
  #parts: Blob[] = [];

  add(rejection: Rejection, line: string): void {
    if (this.first.length < SHOWN) this.first.push(rejection);
    this.line(line);
  }

  line(line: string): void {
    if (this.#lines.push(line) >= JOINED) this.#join();
  }

  blob(): Blob {
    this.#join();
    return new Blob(this.#parts, { type: "text/csv" });
  }

  #join(): void {
    this.#parts.push(new Blob(this.#lines));
    this.#lines = [];
  }
}

function tickets(): Gathered {
  if (gathered) return gathered;
  throw new RangeError("found no tickets, expected a table that was read");
}

function answer(request: Request): Promise<Answer> | Answer {
  switch (request.kind) {
    case "begin":
      return begin(request);
    case "read":
      return read(request);
    case "fit": {
      const progress = (share: number) => say({ kind: "progress", done: share, of: 1 });
      return {
        kind: "fitted",
        view: tune(tickets(), { columns: request.columns, by: "fitful 0.1.0", progress }),
      };
    }
    case "leave out":
      return { kind: "left out", left: ticketsLeftOut(tickets(), request.wanted) };
  }
}

self.onmessage = async ({ data }: MessageEvent<Request>) => {
  try {
    say(await answer(data));
  } catch (error) {
    if (error instanceof TableFault) say({ kind: "issues", issues: [error.issue] });
    else say({ kind: "failure", message: error instanceof Error ? error.message : String(error) });
  }
};
