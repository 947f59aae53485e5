/**
 * Which column of a table is what, and which of its words mean which cause: proposed from the heading and the first rows,
 * corrected by a person, kept as data.
 */
import { z } from "zod";
import { nearest } from "../../ticket/nearest.js";
import { NONE, UNLISTED, type Space } from "../space.js";
import { dayIn, once, plain } from "./cells.js";
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
  const body = rows.slice(1);
  const cellsOf = (role: Role) => {
    const at = heading.indexOf(columns[role] ?? "");
    return at < 0 ? [] : body.map((row) => (row[at] ?? "").trim());
  };
  const figures = [...cellsOf("minutes"), ...cellsOf("age")];
  const hasComma = figures.some((cell) => /^\d+,\d+$/.test(cell));
  const monthFirst =
    cellsOf("closed").some(
      (cell) => dayIn(cell, "month-first") !== null && dayIn(cell, "day-first") === null,
    ) &&
    !cellsOf("closed").some(
      (cell) => dayIn(cell, "day-first") !== null && dayIn(cell, "month-first") === null,
    );
  return {
    format: MATCHING_FORMAT,
    ...dialect,
    decimal: hasComma ? "," : ".",
    days: monthFirst ? "month-first" : "day-first",
    columns,
    stopsAt,
    words: {},
  };
}

const NOTHING_WRONG = ["none", "nothing wrong", "nothing", "no fault found", "nff", "ok"];
const NOT_LISTED = ["unlisted", "other", "not listed", "not on the list", "something else"];
const UNKNOWN = ["", "unknown", "unconfirmed", "not known", "not found", "n a", "na"];

interface Named {
  id: string;
  name: string;
}

/** Words → index, by id or name however it is spelt, then by what the matching says of them. */
export class Words {
  /** Index, −1 for what is known to mean nothing, null for a word that is not known. */
  readonly of = once((cell: string) => this.#find(cell));
  readonly #plain = new Map<string, number>();

  constructor(list: readonly Named[], said: Matching["words"], more: [string[], number][] = []) {
    list.forEach(({ id, name }, k) => {
      for (const text of [id, name]) if (!this.#plain.has(plain(text))) this.#plain.set(plain(text), k);
    });
    for (const [texts, k] of more) for (const text of texts) this.#plain.set(text, k);
    const ids = new Map(list.map(({ id }, k) => [id, k]));
    const special: Record<string, number> = { [NONE]: list.length, [UNLISTED]: list.length + 1 };
    for (const [word, id] of Object.entries(said)) {
      const k = id === null ? -1 : (ids.get(id) ?? (more.length > 0 ? special[id] : undefined));
      if (k !== undefined) this.#plain.set(plain(word), k);
    }
  }

  #find(cell: string): number | null {
    const found = this.#plain.get(plain(cell));
    // template@part names a cause of one machine
    if (found === undefined && cell.includes("@")) return this.#plain.get(plain(cell.split("@")[0]!)) ?? null;
    return found ?? null;
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
