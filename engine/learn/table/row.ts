/** A record of the table → a past ticket, or the one reason why not. */
import { MOST_MINUTES, MOST_STARTS, MOST_YEARS, type PastTicket, type Space } from "../space.js";
import { dayIn, numberIn, once, wholeIn, yesIn } from "./cells.js";
import { UNREADABLE } from "./encoding.js";
import { causeWords, ROLE_NAMES, Words, type Matching, type Role } from "./matching.js";

export interface Rejection {
  /** row of the table, the heading being 1 */
  row: number;
  /** what the column holds, such as `stops` */
  column: string;
  found: string;
  expected: string;
}

/** @param isStrange  whether a cell may hold a character that none may */
export type RowReader = (cells: readonly string[], row: number, isStrange: boolean) => PastTicket | Rejection;

const LIST = /\s*[;|+]\s*|\s*,\s+/;
const LONGEST_FOUND = 60;
const DAYS = {
  "day-first": "a day such as 2025-12-31 or 31.12.2025, the day first",
  "month-first": "a day such as 2025-12-31 or 12/31/2025, the month first",
};

class Reject extends Error {
  constructor(
    readonly column: string,
    readonly found: string,
    readonly expected: string,
  ) {
    super();
  }
}

/** @param heading  the first record; a matching that names columns it lacks gives rows without those */
export function rowReader(heading: readonly string[], matching: Matching, space: Space): RowReader {
  const at = Object.fromEntries(
    ROLE_NAMES.map((role) => [role, heading.indexOf(matching.columns[role] ?? "\0")]),
  ) as Record<Role, number>;
  const stopsAt = space.stages
    .map((stage, s) => [s, heading.indexOf(matching.stopsAt[stage] ?? "\0")] as const)
    .filter(([, column]) => column >= 0);
  const { catalog } = space;
  const causes = causeWords(space, matching.words);
  const stages = new Words(catalog.stages, matching.words);
  const events = new Words(catalog.events ?? [], matching.words);
  const repairs = new Words(catalog.repairs ?? [], matching.words);
  let row: readonly string[] = [];

  const cell = (role: Role): string => (at[role] < 0 ? "" : row[at[role]]!.trim());
  const refuse = (role: string, found: string, expected: string): never => {
    throw new Reject(role, found === "" ? "nothing" : short(found), expected);
  };
  const count = (role: Role): number => {
    const text = cell(role);
    return text === "" ? -1 : (wholeIn(text) ?? refuse(role, text, "a whole number"));
  };
  const figure = (role: Role, most: number): number => {
    const text = cell(role);
    if (text === "") return NaN;
    const value = numberIn(text, matching.decimal);
    if (value === null || !(value >= 0 && value <= most))
      refuse(role, text, `a number from 0 to ${most} with the decimal mark ${matching.decimal}`);
    return value!;
  };
  const word = (role: Role, words: Words, what: string): number => {
    const text = cell(role);
    return text === "" ? -1 : (words.of(text) ?? refuse(role, text, what));
  };

  function refuseStrange(cells: readonly string[]): void {
    for (const text of cells) {
      if (text.includes("\0")) refuse("row", "a NUL character", "text");
      if (text.includes(UNREADABLE)) refuse("row", text, `text in ${matching.encoding}`);
    }
  }

  function cause(): { cause: number; onlyShown: boolean } {
    const named = word("cause", causes, "a cause of the catalog, none, unlisted or unknown");
    const how = at.confirmed < 0 ? "yes" : cell("confirmed").toLowerCase();
    if (how === "found") return { cause: named, onlyShown: false };
    if (how === "shown") return { cause: named, onlyShown: true };
    const isConfirmed = yesIn(how) ?? refuse("confirmed", how, "yes, no, shown or found");
    return { cause: isConfirmed ? named : -1, onlyShown: true };
  }

  function starts(): Pick<PastTicket, "starts" | "stops" | "at"> {
    const told: PastTicket["at"] = [];
    let sum = 0;
    for (const [s, column] of stopsAt) {
      const text = row[column]!.trim();
      const n =
        text === "" ? 0 : (wholeIn(text) ?? refuse(`stops at ${space.stages[s]!}`, text, "a whole number"));
      if (n > 0) told.push([s, n]);
      sum += n;
    }
    const n = count("starts");
    const k = at.stops < 0 && stopsAt.length > 0 && n >= 0 ? sum : count("stops");
    if (n >= 0 !== k >= 0) refuse(n < 0 ? "starts" : "stops", "", "both starts and stops, or neither");
    if (n > MOST_STARTS) refuse("starts", String(n), `at most ${MOST_STARTS}`);
    if (k > n) refuse("stops", `${k} of ${n}`, "no more stops than starts");
    if (k >= 0 && sum > k) refuse("stops", `${k}, and ${sum} by stage`, "no fewer than by stage");
    if (stopsAt.length > 0) return { starts: n, stops: k, at: told };
    const stage = word("stage", stages, "a stage of the catalog");
    if (stage >= 0 && k === 0) refuse("stage", cell("stage"), "nothing, as no start stopped");
    return { starts: n, stops: k, at: stage >= 0 ? [[stage, 1]] : [] };
  }

  const history = once((text: string): number[] => {
    const found = new Set<number>();
    for (const word of text.split(LIST)) {
      if (word === "") continue;
      const k = events.of(word) ?? refuse("events", word, "events of the catalog, separated by ;");
      if (k >= 0) found.add(k);
    }
    return [...found].sort((x, y) => x - y);
  });
  const day = once(
    (text: string) => dayIn(text, matching.days) ?? refuse("closed", text, DAYS[matching.days]),
  );

  function cured(repair: number): -1 | 0 | 1 {
    const text = cell("cured");
    if (text === "") return -1;
    const isCured = yesIn(text) ?? refuse("cured", text, "yes or no");
    if (repair < 0) refuse("cured", text, "nothing, as no repair is named");
    return isCured ? 1 : 0;
  }

  return (cells, number, isStrange) => {
    row = cells;
    try {
      if (cells.length !== heading.length)
        refuse("row", `${cells.length} cells`, `${heading.length}, as in the heading`);
      if (isStrange) refuseStrange(cells);
      if (cells.every((text) => text.trim() === "")) refuse("row", "", "a ticket");
      const repair = word("repair", repairs, "a repair of the catalog");
      const closed = cell("closed");
      const confirmed = cause();
      const counted = starts();
      return {
        cause: confirmed.cause,
        onlyShown: confirmed.onlyShown,
        starts: counted.starts,
        stops: counted.stops,
        at: counted.at,
        events: at.events < 0 ? null : history(cell("events")),
        repair,
        cured: cured(repair),
        minutes: figure("minutes", MOST_MINUTES),
        closed: closed === "" ? "" : day(closed),
        age: figure("age", MOST_YEARS),
      };
    } catch (error) {
      if (!(error instanceof Reject)) throw error;
      return { row: number, column: error.column, found: error.found, expected: error.expected };
    }
  };
}

const short = (text: string): string =>
  text.length > LONGEST_FOUND ? `${text.slice(0, LONGEST_FOUND - 1)}…` : text;
