/**
 * Everything that can be done to a record, as pure functions: ticket in, ticket out. No clock: the time is handed in.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, EntryOf, Part, Ticket, Trial } from "../../engine/ticket/schema.js";
import type { TestView } from "../../engine/weighing.js";
import { unpark } from "./record/parking.js";

export type Conditions = Record<string, string | number>;
/** An entry that has no id yet. */
export type Draft = Entry extends infer E ? (E extends Entry ? Omit<E, "id"> : never) : never;

export const CLEAN = "clean";
const WORK: readonly Entry["kind"][] = ["starts", "change", "repair", "finding", "reading"];

/** An id that no entry of the ticket has. */
export function freshId(taken: Iterable<string>, stem = "e"): string {
  const known = new Set(taken);
  let n = known.size + 1;
  while (known.has(`${stem}${n}`)) n++;
  return `${stem}${n}`;
}

/** Those of deleted entries included: one that comes back must find its id free. */
const entryIds = ({ entries, deleted = [] }: Ticket) =>
  [...entries, ...deleted.map((d) => d.entry)].map((e) => e.id);

/** A new entry before another one, or at the end. */
export function insert(ticket: Ticket, draft: Draft, before: string | null): Ticket {
  const entry = { ...draft, id: freshId(entryIds(ticket)) } as Entry;
  return {
    ...(endsParking(draft, before) ? unpark(ticket) : ticket),
    entries: placed(ticket.entries, entry, before),
  };
}
/** What is worked on, or goes home, waits for nothing; what is written in before something else was done earlier. */
const endsParking = (draft: Draft, before: string | null): boolean =>
  draft.kind === "release" ||
  (WORK.includes(draft.kind) && before === null && !(draft.kind === "starts" && draft.by === "owner"));

export const append = (ticket: Ticket, draft: Draft): Ticket => insert(ticket, draft, null);

/** `before` is the id of an entry; where there is none of that id it is the end. */
function placed(entries: readonly Entry[], entry: Entry, before: string | null | undefined): Entry[] {
  const at = entries.findIndex((e) => e.id === before);
  return at < 0 ? [...entries, entry] : [...entries.slice(0, at), entry, ...entries.slice(at)];
}

export const replace = (ticket: Ticket, entry: Entry): Ticket => ({
  ...ticket,
  entries: ticket.entries.map((e) => (e.id === entry.id ? entry : e)),
});

/** Work that joins the last entry. */
const goOn = (ticket: Ticket, last: Entry): Ticket => replace(unpark(ticket), last);

/** Out of the record, but kept with its place. */
export function remove(ticket: Ticket, id: string): Ticket {
  const at = ticket.entries.findIndex((e) => e.id === id);
  const [entry, after] = [ticket.entries[at], ticket.entries[at + 1]];
  if (!entry) return ticket;
  const gone = { entry, ...(after && { before: after.id }) };
  return {
    ...ticket,
    entries: ticket.entries.filter((e) => e.id !== id),
    deleted: [...(ticket.deleted ?? []), gone],
  };
}

/** A deleted entry back where it stood, or at the end where the entry after it is gone too. */
export function bringBack(ticket: Ticket, id: string): Ticket {
  const gone = ticket.deleted?.find((d) => d.entry.id === id);
  if (!gone) return ticket;
  const { deleted = [], ...rest } = ticket;
  const left = deleted.filter((d) => d !== gone);
  const entries = placed(ticket.entries, gone.entry, gone.before);
  return { ...rest, entries, ...(left.length > 0 && { deleted: left }) };
}

/** An entry moved to stand before another one, or at the end. */
export function moveEntry(ticket: Ticket, id: string, before: string | null): Ticket {
  const entry = ticket.entries.find((e) => e.id === id);
  if (!entry || before === id) return ticket;
  const entries = placed(
    ticket.entries.filter((e) => e !== entry),
    entry,
    before,
  );
  return { ...ticket, entries };
}

/** The row that a start pressed now would join: the last entry, if it is of this bench and of the same conditions. */
export function openRow(ticket: Ticket, catalog: Catalog, conditions: Conditions): EntryOf<"starts"> | null {
  const last = ticket.entries.at(-1);
  if (last?.kind !== "starts" || last.by === "owner") return null;
  const same = (catalog.conditions ?? []).every(
    (c) => (last.conditions?.[c.id] ?? c.default) === (conditions[c.id] ?? c.default),
  );
  return same ? last : null;
}

/** One start: a mark in the open row, or the first of a new one. */
export function press(
  ticket: Ticket,
  catalog: Catalog,
  start: { outcome: Trial["outcome"]; conditions: Conditions; at: string },
): Ticket {
  const { outcome, conditions, at } = start;
  const row = openRow(ticket, catalog, conditions);
  const trial: Trial = { outcome, at };
  if (row) return goOn(ticket, { ...row, trials: [...row.trials, trial] });
  return append(ticket, { kind: "starts", at, conditions, trials: [trial] });
}

/** One start of a row changed; null takes it out. */
export function amendStart(
  ticket: Ticket,
  entryId: string,
  index: number,
  change: (trial: Trial) => Trial | null,
): Ticket {
  const entry = ticket.entries.find((e) => e.id === entryId);
  if (entry?.kind !== "starts") return ticket;
  const trials = entry.trials.flatMap((trial, i) => (i === index ? (change(trial) ?? []) : [trial]));
  return replace(ticket, { ...entry, trials });
}

/** A start as a form says it that was opened for it: the start and its row come back if they were deleted or undone since. */
export function writeStart(
  ticket: Ticket,
  { id, ...opened }: EntryOf<"starts">,
  index: number,
  start: Trial,
): Ticket {
  const back = bringBack(ticket, id);
  const row = back.entries.find((entry) => entry.id === id);
  if (row?.kind !== "starts") return append(back, { ...opened, trials: [start] });
  if (index < row.trials.length) return amendStart(back, id, index, () => start);
  return replace(back, { ...row, trials: [...row.trials, start] });
}

/** Marks one start as not counting (it stays in the record), or with `why` null lets it count again. */
export const voidStart = (ticket: Ticket, entryId: string, index: number, why: string | null): Ticket =>
  amendStart(ticket, entryId, index, ({ voided: _, ...rest }) =>
    why === null ? rest : { ...rest, voided: why },
  );

/** What "start this" writes: the change and the repair that come before the starts. */
export function startTest(ticket: Ticket, test: TestView, at: string): Ticket {
  let next = ticket;
  if (test.change) {
    const { fit, settings, in: place } = test.change;
    const change = {
      ...(fit && { fit }),
      ...(settings && { settings }),
      ...(place !== undefined && { in: place }),
    };
    next = append(next, { kind: "change", at, ...change });
  }
  if (test.repair) {
    const { repair, on } = test.repair;
    next = append(next, { kind: "repair", at, repair, ...(on !== null && { on }) });
  }
  return next;
}

/**
 * Parts moved. Moves that touch different places belong to one change; touching a place again is a change of its own,
 * because every insertion reseats.
 */
export function moveParts(ticket: Ticket, fit: Record<string, string | null>, at: string): Ticket {
  const last = ticket.entries.at(-1);
  const touched = new Set(last?.kind === "change" ? Object.entries(last.fit ?? {}).flat() : []);
  const again = Object.entries(fit).some(([position, part]) => touched.has(position) || touched.has(part));
  if (last?.kind === "change" && last.in === undefined && last.note === undefined && !again)
    return goOn(ticket, { ...last, fit: { ...last.fit, ...fit } });
  return append(ticket, { kind: "change", at, fit });
}

/** The fit of taking `part` from `from` (null: the shelf) to `to`; a part already there goes where the first came from. */
export function moveFit(
  fitted: Record<string, string | null>,
  part: string,
  to: string | null,
): Record<string, string | null> {
  const from = Object.keys(fitted).find((position) => fitted[position] === part) ?? null;
  if (to === null) return from === null ? {} : { [from]: null };
  const there = fitted[to] ?? null;
  return { ...(from !== null && from !== to && { [from]: there }), [to]: part };
}

/** Settings changed; like moves they join the change that is being made. */
export function setSettings(ticket: Ticket, settings: Record<string, string>, at: string): Ticket {
  const last = ticket.entries.at(-1);
  if (last?.kind === "change" && last.in === undefined && last.note === undefined)
    return goOn(ticket, { ...last, settings: { ...last.settings, ...settings } });
  return append(ticket, { kind: "change", at, settings });
}

/** A spare laid on the shelf. */
export function addSpare(ticket: Ticket, kind: string, name: string): Ticket {
  const parts = ticket.machine.parts;
  const id = freshId(
    parts.map((p) => p.id),
    `${kind}-spare-`,
  );
  const part: Part = { id, kind, spare: true, ...(name !== "" && { name }) };
  return { ...ticket, machine: { ...ticket.machine, parts: [...parts, part] } };
}

/** A known-good machine at hand, in which a suspect part can be tried. */
export function addDonor(ticket: Ticket, name: string): Ticket {
  const donors = ticket.machine.donors ?? [];
  const id = freshId(
    donors.map((d) => d.id),
    "donor-",
  );
  return {
    ...ticket,
    machine: { ...ticket.machine, donors: [...donors, { id, ...(name !== "" && { name }) }] },
  };
}

/** Where a part that came out went; null: it is here still. */
export function sendPart(ticket: Ticket, id: string, went: Part["went"] | null): Ticket {
  const parts = ticket.machine.parts.map((part) => {
    if (part.id !== id) return part;
    const { went: _, ...rest } = part;
    return went ? { ...rest, went } : rest;
  });
  return { ...ticket, machine: { ...ticket.machine, parts } };
}

/**
 * Minutes by the clock, added to what the last piece of work since then already took: notes come in between.
 * @param since  ISO 8601; where nothing was done since, it is the last piece of work there is
 */
export function addMinutes(ticket: Ticket, minutes: number, since: string): Ticket {
  const work = ticket.entries.filter((e) => WORK.includes(e.kind));
  const last = work.findLast((e) => lastTouched(e) >= since) ?? work.at(-1);
  return last ? replace(ticket, { ...last, minutes: (last.minutes ?? 0) + minutes }) : ticket;
}

/** Of a row of starts the last of them; "" where nobody told. */
const lastTouched = (entry: Entry): string =>
  (entry.kind === "starts" && entry.trials.findLast((trial) => trial.at !== undefined)?.at) ||
  (entry.at ?? "");

/** Labour minutes written in the record. */
export const minutesSpent = (ticket: Ticket): number =>
  ticket.entries.reduce((sum, entry) => sum + (entry.minutes ?? 0), 0);

/** Every entry and every start of a record, as the objects they are: edits replace what they change and share the rest. */
export const marksOf = (ticket: Ticket): ReadonlySet<Entry | Trial> =>
  new Set(ticket.entries.flatMap((e): (Entry | Trial)[] => (e.kind === "starts" ? [e, ...e.trials] : [e])));
