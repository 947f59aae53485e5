/**
 * Cells as figures, days and answers. Nothing is guessed: a cell that does not read as what its column holds gives null, and
 * its row is rejected with the cell as the reason.
 */

export type DecimalMark = "." | ",";
export type DayOrder = "day-first" | "month-first";

const WITH_POINT = /^[+-]?(?:\d+\.?\d*|\.\d+)$/;
const WITH_COMMA = /^[+-]?(?:\d+,?\d*|,\d+)$/;

/** 12.5 or 12,5; no thousands marks, no units, no exponents. */
export function numberIn(cell: string, mark: DecimalMark): number | null {
  if (mark === ".") return WITH_POINT.test(cell) ? Number(cell) : null;
  return WITH_COMMA.test(cell) ? Number(cell.replace(",", ".")) : null;
}

export const wholeIn = (cell: string): number | null => (/^\d{1,9}$/.test(cell) ? Number(cell) : null);

const YEAR_FIRST = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$/;
const YEAR_LAST = /^(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4})(?: .*)?$/;

/** The day as ISO 8601; what comes after it, a time, is left out. */
export function dayIn(cell: string, order: DayOrder): string | null {
  const first = YEAR_FIRST.exec(cell);
  if (first) return day(first[1]!, first[2]!, first[3]!);
  const last = YEAR_LAST.exec(cell);
  if (!last) return null;
  return order === "day-first" ? day(last[3]!, last[2]!, last[1]!) : day(last[3]!, last[1]!, last[2]!);
}

/** A day of another century is a slip of the keyboard. */
const YEARS = [1950, 2199] as const;
const MONTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

function day(year: string, month: string, date: string): string | null {
  const [y, m, d] = [Number(year), Number(month), Number(date)];
  const isLeap = (y % 4 === 0 && y % 100 !== 0) || y % 400 === 0;
  const days = m === 2 && isLeap ? 29 : MONTHS[m - 1];
  if (y < YEARS[0] || y > YEARS[1] || days === undefined || d < 1 || d > days) return null;
  return `${year}-${String(m).padStart(2, "0")}-${String(d).padStart(2, "0")}`;
}

const YES = new Set(["yes", "y", "true", "1", "ja", "oui", "si", "x"]);
const NO = new Set(["no", "n", "false", "0", "nein", "non", ""]);

export function yesIn(cell: string): boolean | null {
  const word = cell.toLowerCase();
  return YES.has(word) ? true : NO.has(word) ? false : null;
}

/** What two spellings of a name have in common; a sign before a figure is part of the name. */
export const plain = (text: string): string =>
  text
    .normalize("NFKC")
    .toLowerCase()
    .replace(/(?<=^|\s)\+\s*(?=\d)/gu, "plus ")
    .replace(/(?<=^|\s)[-−–]\s*(?=\d)/gu, "minus ")
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();

/** A name letter for letter, capitals aside. */
export const trimmed = (text: string): string => text.normalize("NFKC").toLowerCase().trim();

/** A cell is a slice that would keep the whole piece of the table alive. */
export const ownCopy = (text: string): string => JSON.parse(JSON.stringify(text)) as string;

const MOST_KEPT = 10_000;

/** The same cell is read once: days, histories and words come again and again. */
export function once<T>(read: (cell: string) => T): (cell: string) => T {
  const known = new Map<string, T>();
  return (cell) => {
    const value = known.get(cell);
    if (value !== undefined) return value;
    const fresh = read(cell);
    if (known.size < MOST_KEPT) known.set(ownCopy(cell), fresh);
    return fresh;
  };
}
