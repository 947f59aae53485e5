/** What a practice machine answered, written into its record; and what of a record may still be changed. Pure. */
import type { Answered } from "../../engine/practice/session.js";
import { AS_IT_CAME, FOR_THE_REPAIR, textOf } from "../../engine/practice/rules.js";
import type { Entry, EntryOf, Ticket } from "../../engine/ticket/schema.js";
import { append, type Draft } from "../bench/ticket-edits.js";
import type { Patch } from "../store/patch.js";

/** The record with the minutes that everything in it took. */
const timed = (ticket: Ticket, spent: Record<string, number>): Ticket => ({
  ...ticket,
  entries: ticket.entries.map((entry) =>
    spent[entry.id] === undefined || entry.minutes === spent[entry.id]
      ? entry
      : { ...entry, minutes: spent[entry.id]! },
  ),
});

/** The record with a look, a reading or a repair at its end, and with the starts that a repair needed before it. */
export function withAnswer(ticket: Ticket, { answered, minutes, spent }: Answered, at: string): Ticket {
  return answered.reduce(
    (before, { id: _, ...entry }, k) => {
      const isLast = k === answered.length - 1;
      const tries = isLast ? {} : { note: FOR_THE_REPAIR };
      // all the minutes stand with what was asked for
      return append(before, { ...entry, ...tries, at, minutes: isLast ? minutes : 0 } as Draft);
    },
    timed(ticket, spent),
  );
}

/** The outcome of the one start that was asked for. */
export function outcomeOf({ answered }: Answered): string {
  const row = answered.find((entry): entry is EntryOf<"starts"> => entry.kind === "starts");
  return String(row?.trials[0]?.outcome);
}

/** The record whose last entry is the row that the start joined. */
export const withMinutes = (ticket: Ticket, { minutes, spent }: Answered): Ticket => {
  const row = ticket.entries.at(-1);
  return timed(ticket, row ? { ...spent, [row.id]: (spent[row.id] ?? 0) + minutes } : spent);
};

// what stays

const ANSWERED = new Set<Entry["kind"]>(["intake", "starts", "finding", "reading", "repair", "release"]);
const isDone = ({ kind }: Entry) => kind !== "note" && kind !== "worksheet";
const doneIn = ({ entries }: Ticket) => entries.filter(isDone);

/** Was something done to the machine in this step, or asked of it? Writing a note is neither. */
export function isDoing({ path, ...step }: Patch): boolean {
  const [part] = path;
  if (part !== undefined && part !== "entries") return part === "practice";
  const isSplice = path.length === 1 && step.at !== undefined;
  return !isSplice || ([...step.was, ...step.now] as Entry[]).some(isDone);
}

/** Remarks that are the machine's own. */
const OWN = new Set<string | undefined>([FOR_THE_REPAIR, AS_IT_CAME]);

/** Without what anybody may add to an entry: time, minutes, remarks, pictures. */
function bare(entry: Entry | undefined, trials: number): string {
  if (!entry) return "";
  const { at: _at, minutes: _minutes, note, ...rest } = entry;
  const kept = "trials" in rest ? { ...rest, trials: rest.trials.slice(0, trials) } : rest;
  return textOf([{ ...kept, photos: null }, OWN.has(note) ? note : null]);
}

/**
 * What the machine came with and has answered cannot be taken back, nor what was done to it before: its answers would
 * have been others. What was moved since may be.
 */
export function keepsAnswers(before: Ticket, after: Ticket): boolean {
  if (textOf(before.machine) !== textOf(after.machine)) return false;
  const [old, now] = [before.practice, after.practice];
  if (old?.seed !== now?.seed || old?.ending !== (old?.ending && now?.ending)) return false;
  if ((now?.hints ?? 0) < (old?.hints ?? 0)) return false;
  const [was, is] = [doneIn(before), doneIn(after)];
  if (old?.ending && was.length !== is.length) return false;
  const last = was.findLastIndex((entry) => ANSWERED.has(entry.kind) || entry.note === AS_IT_CAME);
  return was.slice(0, last + 1).every((entry, k) => {
    const grows = entry.kind === "starts" && k === last;
    const trials = grows ? entry.trials.length : Infinity;
    return bare(entry, trials) === bare(is[k], trials);
  });
}

/** Kinds of entry that are asked of the machine, or that a practice record ends with, instead of written by hand. */
export const isAnswered = (kind: Entry["kind"]): boolean => kind !== "intake" && ANSWERED.has(kind);
