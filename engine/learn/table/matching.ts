/**
 * Which column of a table is what, and which of its words mean which cause: proposed from the heading and the first rows,
 * corrected by a person, kept as data.
 */
import { z } from "zod";
import { nearest } from "../../ticket/nearest.js";
import { NONE, UNLISTED, type Space } from "../space.js";
import { issue } from "../../issue.js";
import type { Issue } from "../../weighing.js";
import { dayIn, once, plain, trimmed, type DayOrder } from "./cells.js";
import { ENCODINGS } from "./encoding.js";
import { SEPARATORS } from "./records.js";

export const MATCHING_FORMAT = "fitful/tickets-table@1";

/** What a column may hold, with the headings that are taken for it. */
export const ROLES = {
  ticket: {
    what: "number of the ticket",
    names: ["ticket", "ticket id", "ticket no", "id", "job", "job no", "number"],
  },
  closed: {
    what: "day it was closed",
    names: ["closed", "closed on", "date", "day", "closing date", "datum", "fecha"],
  },
  cause: { what: "cause", names: ["cause", "root cause", "fault", "diagnosis", "what it was", "ursache"] },
  confirmed: {
    what: "how the cause was confirmed",
    names: ["confirmed", "confirmed by", "confirmation", "how"],
  },
  starts: { what: "starts before the first repair", names: ["starts", "trials", "power ons", "n", "tries"] },
  stops: { what: "how many of them stopped", names: ["stops", "stopped", "failed", "failed starts", "k"] },
  stage: { what: "where it stopped", names: ["stage", "stops at", "stopped at", "where"] },
  events: { what: "what happened before", names: ["events", "before", "history", "happened before"] },
  age: { what: "age in years", names: ["age", "age years", "years", "age in years"] },
  repair: { what: "repair made", names: ["repair", "repair made", "action", "done"] },
  cured: { what: "whether the repair cured it", names: ["cured", "fixed", "solved", "stayed away"] },
  minutes: {
    what: "minutes of the repair",
    names: ["minutes", "labour", "labour minutes", "min", "repair minutes"],
  },
} as const;

export type Role = keyof typeof ROLES;
export const ROLE_NAMES = Object.keys(ROLES) as Role[];

export const Matching = z.strictObject({
  format: z.literal(MATCHING_FORMAT),
  encoding: z.enum(ENCODINGS),
  separator: z.enum(SEPARATORS),
  decimal: z.enum([".", ","]),
  days: z.enum(["day-first", "month-first"]),
  columns: z
    .partialRecord(z.enum(ROLE_NAMES as [Role, ...Role[]]), z.string())
    .describe("what a column holds → its heading"),
  stopsAt: z.record(z.string(), z.string()).describe("stage id → heading of the column with its stops"),
  words: z
    .record(z.string(), z.string().nullable())
    .describe(
      "word of the table → cause, stage, event or repair id, none, unlisted; null: nothing confirmed",
    ),
});

export type Matching = z.infer<typeof Matching>;

/** @param rows  the heading and the first rows */
export function proposeMatching(
  rows: readonly (readonly string[])[],
  dialect: Pick<Matching, "encoding" | "separator">,
  space: Space,
): Matching {
  const heading = rows[0] ?? [];
  const columns: Matching["columns"] = {};
  for (const role of ROLE_NAMES) {
    const names: readonly string[] = ROLES[role].names;
    const found = heading.find((h) => names.includes(plain(h)));
    if (found !== undefined) columns[role] = found;
  }
  const stopsAt: Matching["stopsAt"] = {};
  for (const { id, name } of space.catalog.stages) {
    const names = [`stops ${plain(id)}`, `stops at ${plain(id)}`, `stops ${plain(name)}`, `at ${plain(id)}`];
    const found = heading.find((h) => names.includes(plain(h)));
    if (found !== undefined) stopsAt[id] = found;
  }
  const cellsOf = (role: Role) => cellsIn(rows, columns[role]);
  const figures = [...cellsOf("minutes"), ...cellsOf("age")];
  // 1,200 may be a thousand and more: it decides nothing, and is rejected where nothing else does
  const hasComma = figures.some((cell) => /^\d+,\d+$/.test(cell) && !/^\d{1,3},\d{3}$/.test(cell));
  return {
    format: MATCHING_FORMAT,
    ...dialect,
    decimal: hasComma ? "," : ".",
    days: dayOrderOf(cellsOf("closed")) ?? "day-first",
    columns,
    stopsAt,
    words: {},
  };
}

function cellsIn(rows: readonly (readonly string[])[], column: string | undefined): string[] {
  const at = rows[0]?.indexOf(column ?? "\0") ?? -1;
  return at < 0 ? [] : rows.slice(1).map((row) => (row[at] ?? "").trim());
}

/** The order in which alone some of the days can be read; null where none decides, or they contradict each other. */
function dayOrderOf(cells: readonly string[]): DayOrder | null {
  const [days, months] = (["day-first", "month-first"] as const).map((order) =>
    cells.some((cell) => dayIn(cell, order) !== null && dayIn(cell, other(order)) === null),
  );
  return days === months ? null : days ? "day-first" : "month-first";
}

const other = (order: DayOrder): DayOrder => (order === "day-first" ? "month-first" : "day-first");

/** Whether more rows might tell what these do not: days that can be read either way. */
export const isUndecided = (rows: readonly (readonly string[])[], { columns }: Matching): boolean =>
  dayOrderOf(cellsIn(rows, columns.closed)) === null &&
  cellsIn(rows, columns.closed).some((cell) => dayIn(cell, "day-first") !== dayIn(cell, "month-first"));

/** What a matching names that the catalog does not have. */
export function matchingIssues({ stopsAt, words }: Matching, { catalog }: Space): Issue[] {
  const stages = catalog.stages.map(({ id }) => id);
  const lists = [catalog.causes, catalog.stages, catalog.events ?? [], catalog.repairs ?? []];
  const meanings = [...lists.flatMap((list) => list.map(({ id }) => id)), NONE, UNLISTED];
  const among = (path: string, id: string, known: readonly string[], what: string): Issue[] => {
    if (known.includes(id)) return [];
    const near = nearest(id, known);
    return [issue(path, id, near === null ? what : `${what}; nearest is ${near}`)];
  };
  return [
    ...Object.keys(stopsAt).flatMap((id) => among("stopsAt", id, stages, "a stage of the catalog")),
    ...Object.entries(words).flatMap(([word, id]) =>
      id === null
        ? []
        : among(`words.${word}`, id, meanings, "a cause, stage, event or repair of the catalog"),
    ),
  ];
}

const NOTHING_WRONG = ["none", "nothing wrong", "nothing", "no fault found", "nff", "ok"];
const NOT_LISTED = ["unlisted", "other", "not listed", "not on the list", "something else"];
const UNKNOWN = ["", "unknown", "unconfirmed", "not known", "not found", "n a", "na"];

interface Named {
  id: string;
  name: string;
}

/** Two names that differ only in how they are spelt. */
const SEVERAL = -2;

/**
 * Words → index: by what the matching says of them, by id or name letter for letter, then however it is spelt. A spelling
 * that two of the list share names neither; what the list names is not taken for "none" or "other".
 */
export class Words {
  /** Index, −1 for what is known to mean nothing, null for a word that is not known. */
  readonly of = once((cell: string) => this.#find(cell));
  readonly #exact = new Map<string, number>();
  readonly #plain = new Map<string, number>();

  constructor(list: readonly Named[], said: Matching["words"], more: [string[], number][] = []) {
    list.forEach(({ id, name }, k) => {
      for (const text of [id, name]) {
        if (!this.#exact.has(trimmed(text))) this.#exact.set(trimmed(text), k);
        const before = this.#plain.get(plain(text)) ?? k;
        this.#plain.set(plain(text), before === k ? k : SEVERAL);
      }
    });
    for (const [texts, k] of more)
      for (const text of texts) if (!this.#plain.has(text)) this.#plain.set(text, k);
    const ids = new Map(list.map(({ id }, k) => [id, k]));
    const special: Record<string, number> = { [NONE]: list.length, [UNLISTED]: list.length + 1 };
    for (const [word, id] of Object.entries(said)) {
      const k = id === null ? -1 : (ids.get(id) ?? (more.length > 0 ? special[id] : undefined));
      if (k === undefined) continue;
      this.#exact.set(trimmed(word), k);
      if (plain(word) !== "") this.#plain.set(plain(word), k);
    }
  }

  #find(cell: string): number | null {
    const found = this.#exact.get(trimmed(cell)) ?? this.#plain.get(plain(cell));
    // template@part names a cause of one machine
    const [template = ""] = cell.split("@");
    if (found === undefined && template !== cell) return template === "" ? null : this.#find(template);
    return found === undefined || found === SEVERAL ? null : found;
  }
}

export const causeWords = ({ catalog, none, unlisted }: Space, said: Matching["words"]): Words =>
  new Words(catalog.causes, said, [
    [NOTHING_WRONG, none],
    [NOT_LISTED, unlisted],
    [UNKNOWN, -1],
  ]);

/** What a word that is not known may mean: a cause whose name it holds, or the nearest by spelling. */
export function proposeCause(word: string, { catalog }: Space): string | null {
  const text = plain(word);
  const held = catalog.causes
    .filter(({ id, name }) => text.includes(plain(name)) || text.includes(plain(id)))
    .sort((x, y) => y.name.length - x.name.length);
  if (held[0]) return held[0].id;
  const names = catalog.causes.map((c) => plain(c.name));
  const near = nearest(text, names);
  return near === null ? null : catalog.causes[names.indexOf(near)]!.id;
}
