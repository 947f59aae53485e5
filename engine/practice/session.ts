/**
 * A record of a practice machine, played on the machine: what the trainee did, done again with the same luck.
 *
 * The machine and its luck follow from the deal, and everything it answers from what is done to it in which order, so a
 * record is played from its beginning whenever something new is asked; what was played before is kept.
 */
import type { Catalog } from "../catalog/schema.js";
import type { State } from "../belief/fold.js";
import { heldFinding } from "../belief/compile.js";
import type { Candidate } from "../plan/candidates.js";
import { plainChange } from "../plan/candidates.js";
import { classOf } from "../ticket/setup.js";
import { issue } from "../issue.js";
import type { Entry, EntryOf, Ticket } from "../ticket/schema.js";
import type { Issue } from "../weighing.js";
import { Bench, type Arrival } from "./bench.js";
import { PRICES } from "./prices.js";
import type { Action } from "./strategy.js";
import { FOR_THE_REPAIR, textOf } from "./rules.js";

/** One action of the record and what it took. */
export interface Move {
  /** id of the entry it belongs to */
  entry: string;
  action: Action;
  before: { state: State; ticket: Ticket };
  after: { state: State; ticket: Ticket };
  /** what the machine answered, as the bench recorded it */
  answered: Entry[];
  minutes: number;
  money: number;
}

/** What the machine answers to one thing more. */
export interface Answered {
  /** entries as the bench recorded them */
  answered: Entry[];
  /** minutes that the asked action took */
  minutes: number;
  /** minutes of the record before it, by entry id */
  spent: Record<string, number>;
}

/** What a record has taken. */
export interface SoFar {
  minutes: number;
  /** for parts and materials */
  money: number;
}

export function minutesByEntry(moves: readonly Move[]): Record<string, number> {
  const spent: Record<string, number> = {};
  for (const { entry, minutes } of moves) spent[entry] = (spent[entry] ?? 0) + minutes;
  return spent;
}

type Done = Omit<Move, "entry">;

export class Session {
  #bench: Bench;
  #moves: Done[] = [];
  /** what tells each move from another */
  #keys: string[] = [];

  constructor(
    readonly catalog: Catalog,
    readonly arrival: Arrival,
  ) {
    this.#bench = new Bench(arrival, PRICES);
  }

  /** Entries that were there before the trainee came. */
  get given(): readonly Entry[] {
    return this.arrival.ticket.entries;
  }

  /** Every move of the record, or where the record says something else than the machine does. */
  play(ticket: Ticket): { moves: readonly Move[] } | { issues: Issue[] } {
    const beginning = this.given.findIndex((entry, k) => !sameEntry(entry, ticket.entries[k]));
    if (beginning >= 0) return { issues: [notAsDealt(beginning)] };
    const wanted = ticket.entries
      .slice(this.given.length)
      .flatMap((entry) => actionsOf(this.catalog, entry).map((action) => ({ entry: entry.id, action })));
    const keys = wanted.map(({ action }) => textOf(action));
    if (!this.#keys.every((key, k) => key === keys[k])) this.#begin();
    for (const { action } of wanted.slice(this.#moves.length)) this.#do(action);
    const moves = this.#moves.map((done, k): Move => ({ ...done, entry: wanted[k]!.entry }));
    const issues = disagreements(ticket, moves);
    return issues.length > 0 ? { issues } : { moves };
  }

  /** The machine's answer to one thing more, and what it takes; the record itself is played first. */
  ask(ticket: Ticket, action: Action): Answered | { issues: Issue[] } {
    const played = this.play(ticket);
    if ("issues" in played) return played;
    const spent = minutesByEntry(played.moves);
    const held = heldBy(this.#bench, action);
    if (held !== undefined)
      return {
        issues: [
          issue("finding", `${held}, seen before`, "something new to look at: nothing was done to it since"),
        ],
      };
    // kept: the record that comes next mostly goes on from here
    const { answered, minutes } = this.#do(action);
    return { answered, minutes, spent };
  }

  /** What the record has taken, moves since the last answer with it. */
  soFar(ticket: Ticket): SoFar | { issues: Issue[] } {
    const played = this.play(ticket);
    if ("issues" in played) return played;
    const sum = (what: "minutes" | "money") => played.moves.reduce((total, move) => total + move[what], 0);
    return { minutes: sum("minutes"), money: sum("money") };
  }

  #begin(): void {
    this.#bench = new Bench(this.arrival, PRICES);
    this.#moves = [];
    this.#keys = [];
  }

  #do(action: Action): Done {
    const bench = this.#bench;
    const before = { state: bench.state, ticket: bench.ticket };
    const [minutes, money] = [bench.minutes, bench.money];
    bench.do(action);
    const known = before.ticket.entries.length;
    const done: Done = {
      action,
      before,
      after: { state: bench.state, ticket: bench.ticket },
      answered: bench.ticket.entries.slice(known).map(rounded),
      minutes: bench.minutes - minutes,
      money: bench.money - money,
    };
    this.#moves.push(done);
    this.#keys.push(textOf(action));
    return done;
  }
}

/** What an entry does to the machine; nothing for what is only written down. */
export function actionsOf(catalog: Catalog, entry: Entry): Action[] {
  switch (entry.kind) {
    case "starts":
      return entry.note === FOR_THE_REPAIR ? [] : startsOf(catalog, entry);
    case "change": {
      const { fit, settings, in: place } = entry;
      const change = plainChange({ fit, settings, in: place });
      return [doing({ kind: "starts", change, repair: null, conditions: {} }, 0)];
    }
    case "repair": {
      const repair = catalog.repairs?.find((r) => r.id === entry.repair);
      if (!repair) return [];
      return [
        doing({ kind: "repair", change: null, repair: { repair, on: entry.on ?? null }, conditions: {} }, 0),
      ];
    }
    case "finding": {
      const finding = catalog.findings?.find((f) => f.id === entry.finding);
      return finding ? [doing({ kind: "finding", finding, on: entry.on ?? null }, 1)] : [];
    }
    case "reading": {
      const reading = catalog.readings?.find((r) => r.id === entry.reading);
      return reading ? [doing({ kind: "reading", reading, on: entry.on ?? null }, 1)] : [];
    }
    case "intake":
    case "note":
    case "worksheet":
    case "release":
      return [];
  }
}

const doing = (candidate: Candidate, n: number): Action => ({ kind: "do", candidate, n, stopEarly: false });

const startsOf = (catalog: Catalog, { trials, conditions }: EntryOf<"starts">): Action[] =>
  trials.flatMap(({ n = 1 }) => Array.from({ length: n }, () => startAction(catalog, conditions ?? {})));

/** One start. @param stated  condition id → class or minutes, which count as their class */
export function startAction(catalog: Catalog, stated: Record<string, string | number>): Action {
  const conditions = (catalog.conditions ?? []).flatMap((c) => {
    const value = stated[c.id];
    const id = typeof value === "number" ? classOf(c, value) : value;
    return id === undefined || id === c.default ? [] : [[c.id, id] as const];
  });
  const candidate = {
    kind: "starts",
    change: null,
    repair: null,
    conditions: Object.fromEntries(conditions),
  };
  return doing(candidate as Candidate, 1);
}

/** Instruments show four digits. */
const rounded = (entry: Entry): Entry =>
  entry.kind === "reading" && typeof entry.value === "number"
    ? { ...entry, value: Number(entry.value.toPrecision(4)) }
    : entry;

/** What was seen there before, with nothing done to it since. */
function heldBy(bench: Bench, { candidate }: Action): string | undefined {
  if (candidate.kind !== "finding") return undefined;
  const { finding, on } = candidate;
  const entry = { kind: "finding", id: "asked", finding: finding.id, value: "", ...(on !== null && { on }) };
  return heldFinding(bench.state.place, entry as EntryOf<"finding">);
}

// is it a record of this machine?

const sameEntry = (dealt: Entry, found: Entry | undefined): boolean => {
  const bare = (entry: Entry | undefined) => textOf({ ...entry, at: undefined, note: undefined });
  return bare(dealt) === bare(found);
};

const notAsDealt = (k: number): Issue =>
  issue(`entries[${k}]`, "something else than was dealt", "the entry that the machine came in with");

/** The record's answers beside the machine's, entry by entry. */
function disagreements(ticket: Ticket, moves: readonly Move[]): Issue[] {
  const issues: Issue[] = [];
  ticket.entries.forEach((entry, k) => {
    const own = moves.filter((move) => move.entry === entry.id);
    const answered = own.flatMap((move) => move.answered);
    if (own.length === 0) return;
    const [said, drawn] = [saidBy([entry]), saidBy(answered.filter((e) => e.kind === entry.kind))];
    if (said !== drawn) issues.push(issue(`entries[${k}]`, said, `${drawn}, which this machine answers`));
  });
  return issues;
}

function saidBy(entries: readonly Entry[]): string {
  const said = entries.flatMap((entry): string[] => {
    if (entry.kind === "starts")
      return entry.trials.flatMap((t) => Array.from({ length: t.n ?? 1 }, () => String(t.outcome)));
    if (entry.kind === "finding" || entry.kind === "reading") return [String(entry.value)];
    return [];
  });
  return said.join(", ");
}
