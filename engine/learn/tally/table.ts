/**
 * The tally as a table of its own, which a warehouse can make with GROUP BY (tally.sql):
 *
 *   kind     cause    item          k      n       tickets  total       squares
 *   cause    cause    –             –      –       tickets  –           –          an empty cause: never confirmed
 *   starts   cause    shown|found   stops  starts  tickets  –           –
 *   stops    cause    stage         –      –       stops    –           –
 *   told     cause    –             –      –       tickets  –           –          what had happened before was told
 *   event    cause    event         –      –       tickets  –           –
 *   cure     cause    repair        0|1    –       tickets  –           –          k: whether it cured
 *   minutes  –        repair        –      –       repairs  Σ ln min    Σ ln² min
 *   years    cause    –             –      –       –        unit-years  –
 *   age      –        –             –      –       tickets  Σ years     –
 *   days     –        first|last    –      –       –        yyyymmdd    –
 *
 * Rows of the same kind, cause, item, k and n add up, but for `days`, of which the smallest and the largest hold.
 */
import { issue } from "../../issue.js";
import type { Issue } from "../../weighing.js";
import { MOST_STARTS, MOST_YEARS, NONE, UNLISTED, type Space } from "../space.js";
import { dayIn } from "../table/cells.js";
import { emptyTally, startsKey, type Tally } from "./tally.js";

export const TALLY_COLUMNS = ["kind", "cause", "item", "k", "n", "tickets", "total", "squares"] as const;

/** More tickets, or unit-years, than this no warehouse has. */
const MOST = 1e12;
const KINDS = ["cause", "starts", "stops", "told", "event", "cure", "minutes", "years", "age", "days"];

export type TallyRow = Record<(typeof TALLY_COLUMNS)[number], string>;

export const isTallyHeading = (heading: readonly string[]): boolean =>
  TALLY_COLUMNS.every((name) => heading.map((h) => h.trim().toLowerCase()).includes(name));

/** Adds one row of the table to a tally, in place, or says why it cannot. @param number  row, the heading being 1 */
export function addTallyRow(tally: Tally, row: TallyRow, number: number, space: Space): Issue | null {
  const { causes, stages, events, repairs } = space;
  const wrong = (column: string, found: string, expected: string) =>
    issue(`row ${number}, ${column}`, found === "" ? "nothing" : found, expected);
  const numeric = (column: keyof TallyRow) => {
    const text = row[column].trim();
    return /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/.test(text) ? Number(text) : NaN;
  };
  const indexIn = (column: "cause" | "item", list: readonly string[]) => list.indexOf(row[column].trim());
  const add = (counts: Float64Array, at: number, by: number) => void (counts[at] = counts[at]! + by);

  const kind = row.kind.trim();
  if (!KINDS.includes(kind)) return wrong("kind", row.kind, `one of ${KINDS.join(", ")}`);
  const tickets = numeric("tickets");
  const needsCause = ["starts", "stops", "told", "event", "cure", "years"].includes(kind);
  const cause = indexIn("cause", causes);
  if (cause < 0 && (needsCause || (kind === "cause" && row.cause.trim() !== "")))
    return wrong("cause", row.cause, `a cause of the catalog, ${NONE} or ${UNLISTED}`);
  if (!["years", "days"].includes(kind) && !(tickets >= 0 && tickets <= MOST))
    return wrong("tickets", row.tickets, `a number from 0 to ${MOST}`);

  switch (kind) {
    case "cause":
      if (cause < 0) tally.unconfirmed += tickets;
      else add(tally.tickets, cause, tickets);
      return null;
    case "starts": {
      const [k, n, how] = [numeric("k"), numeric("n"), row.item.trim()];
      if (!(Number.isInteger(k) && Number.isInteger(n) && k >= 0 && k <= n && n > 0 && n <= MOST_STARTS))
        return wrong("k", `${row.k} of ${row.n}`, `whole numbers, k of n, n at most ${MOST_STARTS}`);
      if (how !== "shown" && how !== "found") return wrong("item", row.item, "shown or found");
      const key = startsKey(cause, k, n, how === "shown");
      tally.starts.set(key, (tally.starts.get(key) ?? 0) + tickets);
      return null;
    }
    case "stops": {
      const s = indexIn("item", stages);
      if (s < 0) return wrong("item", row.item, "a stage of the catalog");
      add(tally.stops, cause * stages.length + s, tickets);
      return null;
    }
    case "told":
      add(tally.told, cause, tickets);
      return null;
    case "event": {
      const e = indexIn("item", events);
      if (e < 0) return wrong("item", row.item, "an event of the catalog");
      add(tally.events, cause * events.length + e, tickets);
      return null;
    }
    case "cure": {
      const [r, k] = [indexIn("item", repairs), numeric("k")];
      if (r < 0) return wrong("item", row.item, "a repair of the catalog");
      if (k !== 0 && k !== 1) return wrong("k", row.k, "0 or 1");
      add(tally.cures, (r * causes.length + cause) * 2 + k, tickets);
      return null;
    }
    case "minutes": {
      const [r, total, squares] = [indexIn("item", repairs), numeric("total"), numeric("squares")];
      if (r < 0) return wrong("item", row.item, "a repair of the catalog");
      if (!Number.isFinite(total) || !(squares >= 0))
        return wrong("total", `${row.total}, ${row.squares}`, "sums of logarithms and of their squares");
      [tickets, total, squares].forEach((x, k) => add(tally.minutes, 3 * r + k, x));
      return null;
    }
    case "years": {
      const years = numeric("total");
      if (!(years >= 0 && years <= MOST)) return wrong("total", row.total, `unit-years from 0 to ${MOST}`);
      add(tally.years, cause, years);
      return null;
    }
    case "age": {
      const total = numeric("total");
      if (!(total >= 0 && total <= MOST_YEARS * tickets))
        return wrong("total", row.total, `years, at most ${MOST_YEARS} for each ticket`);
      tally.ages = [tally.ages[0] + tickets, tally.ages[1] + total];
      return null;
    }
    case "days": {
      const day = /^(\d{4})(\d{2})(\d{2})$/.exec(row.total.trim());
      const iso = day && dayIn(`${day[1]}-${day[2]}-${day[3]}`, "day-first");
      if (!iso) return wrong("total", row.total, "a day as yyyymmdd");
      if (tally.first === "" || iso < tally.first) tally.first = iso;
      if (iso > tally.last) tally.last = iso;
      return null;
    }
    default:
      return null;
  }
}

/** The rows of a tally, nothing that is 0 among them. */
export function tallyRows(tally: Tally, space: Space): TallyRow[] {
  const { causes, stages, events, repairs } = space;
  const [C, S, E] = [causes.length, stages.length, events.length];
  const rows: TallyRow[] = [];
  const push = (row: Partial<Record<keyof TallyRow, string | number>>) => {
    const whole = Object.fromEntries(TALLY_COLUMNS.map((c) => [c, String(row[c] ?? "")]));
    rows.push(whole as TallyRow);
  };
  causes.forEach((cause, c) => {
    if (tally.tickets[c]) push({ kind: "cause", cause, tickets: tally.tickets[c]! });
  });
  if (tally.unconfirmed > 0) push({ kind: "cause", tickets: tally.unconfirmed });
  for (const [key, tickets] of tally.starts) {
    const [c, k, n, shown] = key.split(" ").map(Number);
    push({ kind: "starts", cause: causes[c!]!, item: shown ? "shown" : "found", k: k!, n: n!, tickets });
  }
  tally.stops.forEach((tickets, at) => {
    if (tickets) push({ kind: "stops", cause: causes[Math.floor(at / S)]!, item: stages[at % S]!, tickets });
  });
  tally.told.forEach((tickets, c) => tickets && push({ kind: "told", cause: causes[c]!, tickets }));
  tally.events.forEach((tickets, at) => {
    if (tickets) push({ kind: "event", cause: causes[Math.floor(at / E)]!, item: events[at % E]!, tickets });
  });
  tally.cures.forEach((tickets, at) => {
    const [r, c, k] = [Math.floor(at / (2 * C)), Math.floor(at / 2) % C, at % 2];
    if (tickets) push({ kind: "cure", cause: causes[c]!, item: repairs[r]!, k, tickets });
  });
  repairs.forEach((item, r) => {
    const [tickets, total, squares] = tally.minutes.subarray(3 * r, 3 * r + 3);
    if (tickets) push({ kind: "minutes", item, tickets, total: total!, squares: squares! });
  });
  tally.years.forEach((total, c) => total && push({ kind: "years", cause: causes[c]!, total }));
  if (tally.ages[0] > 0) push({ kind: "age", tickets: tally.ages[0], total: tally.ages[1] });
  for (const [item, day] of [
    ["first", tally.first],
    ["last", tally.last],
  ] as const)
    if (day !== "") push({ kind: "days", item, total: day.replaceAll("-", "") });
  return rows;
}

export const tallyFromRows = (rows: readonly TallyRow[], space: Space): { tally: Tally; issues: Issue[] } => {
  const tally = emptyTally(space);
  const issues = rows.flatMap((row, k) => addTallyRow(tally, row, k + 2, space) ?? []);
  return { tally, issues };
};
