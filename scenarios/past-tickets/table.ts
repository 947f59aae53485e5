/**
 * Past tickets as a table that people really have: words of the shop's own, notes in the cause column, three labels in a
 * hundred wrong, causes on no list, rows exported twice, rows that cannot be.
 */
import { plain } from "../../engine/learn/table/cells.js";
import type { Space } from "../../engine/learn/space.js";
import type { Uniform } from "../../engine/practice/streams.js";
import type { Drawn } from "./draw.js";

export const HEADING = [
  ...["Ticket", "Closed", "Age", "Before", "Starts", "Stopped", "Stopped at"],
  ...["Fault", "Confirmed", "Repair", "Cured", "Minutes", "Remark"],
];

/** Words that only this shop uses, for the causes of the desktop catalog; and causes that are on no list. */
export const SHOP_WORDS: Record<string, string> = {
  "psu weak cold": "standby-rail",
  "ram slot": "slot-contact",
  "bad stick": "module-weak",
  "strip at the desk": "outlet-strip",
  "wall socket": "wall-outlet",
  "old bios": "firmware-memory",
  "paste gone": "paste",
  "stand-off under the board": "unlisted",
  "coin in the case": "unlisted",
  "kitchen radio next to it": "unlisted",
};

export interface Noise {
  /** labels that name another cause */
  wrong: number;
  /** rows that come twice, and rows that cannot be read */
  twice: number;
  broken: number;
}

export const NOISE: Noise = { wrong: 0.03, twice: 0.01, broken: 0.01 };
export const CLEAN: Noise = { wrong: 0, twice: 0, broken: 0 };

const REMARKS = [
  "",
  "",
  "",
  "customer waits",
  "second visit",
  'said "since the move"',
  "see drawer; part kept",
  "=A1+1",
  "n/a",
];
const pick = <T>(list: readonly T[], uniform: Uniform): T => list[Math.floor(uniform() * list.length)]!;

/** The rows of one ticket, cells in the order of HEADING; decimal comma, day first. */
export function rowsOf(
  ticket: Drawn,
  number: number,
  space: Space,
  noise: Noise,
  uniform: Uniform,
): string[][] {
  const { catalog, stages, none } = space;
  const isWrong = ticket.cause >= 0 && uniform() < noise.wrong;
  const cause = isWrong ? Math.floor(uniform() * none) : ticket.cause;
  const label = cause < 0 ? pick(["", "", "unknown"], uniform) : labelOf(cause, space, noise, uniform);
  const [year, month, day] = ticket.closed.split("-");
  const row = [
    `T-${String(number).padStart(5, "0")}`,
    `${day}.${month}.${year}`,
    String(ticket.age).replace(".", ","),
    (ticket.events ?? []).map((e) => catalog.events![e]!.name).join("; "),
    String(ticket.starts),
    String(ticket.stops),
    ticket.at.length > 0 ? catalog.stages.find((s) => s.id === stages[ticket.at[0]![0]])!.name : "",
    label,
    ticket.cause < 0 ? "no" : ticket.onlyShown ? "shown" : "found",
    ticket.repair >= 0 ? catalog.repairs![ticket.repair]!.name : "",
    ticket.repair < 0 ? "" : ticket.cured === 1 ? "yes" : "no",
    ticket.repair < 0 ? "" : String(ticket.minutes),
    pick(REMARKS, uniform),
  ];
  const rows = [uniform() < noise.broken ? broken(row, uniform) : row];
  return uniform() < noise.twice ? [...rows, row] : rows;
}

function labelOf(cause: number, space: Space, noise: Noise, uniform: Uniform): string {
  const { catalog, causes, none, unlisted } = space;
  const own = Object.keys(SHOP_WORDS).filter((word) => SHOP_WORDS[word] === causes[cause]);
  if (noise.wrong === 0) return cause === none ? "none" : cause === unlisted ? "unlisted" : causes[cause]!;
  if (cause === unlisted) return pick(own, uniform);
  if (cause === none) return pick(["nothing wrong", "no fault found", "NONE"], uniform);
  const { name } = catalog.causes[cause]!;
  if (own.length > 0 && uniform() < 0.3) return pick(own, uniform);
  return pick([name, name, name, name.toUpperCase(), ` ${name}  `, causes[cause]!, plain(name)], uniform);
}

/** One cell that cannot be. */
function broken(row: readonly string[], uniform: Uniform): string[] {
  const at = pick([1, 4, 5, 7, 11], uniform);
  const nonsense: Record<number, string> = {
    1: "31.02.2024",
    4: "several",
    5: "99",
    7: "asked the owner",
    11: "1 h",
  };
  return row.map((cell, k) => (k === at ? nonsense[at]! : cell));
}
