/**
 * Text in pieces → records, by RFC 4180 and the separators people really use.
 *
 * papaparse's own parser does the reading; a piece ends anywhere, so what comes after the last whole record is kept for the
 * next piece. A quote that is never closed would swallow the rest of the file: the table is refused where one record grows
 * beyond every honest size.
 */
import Papa from "papaparse";
import { issue } from "../../issue.js";
import type { Issue } from "../../weighing.js";

export const SEPARATORS = [",", ";", "\t", "|"] as const;
export type Separator = (typeof SEPARATORS)[number];

export const MOST_COLUMNS = 500;
/** Characters of one record. */
const LONGEST_RECORD = 1_000_000;

/** A table that cannot be read at all. */
export class TableFault extends Error {
  constructor(readonly issue: Issue) {
    super(issue.message);
  }
}

/** A first line that spreadsheets write and hide: it is no heading. */
const SAYS_SEPARATOR = /^sep=([,;\t|])$/i;

/** @param number  of the record, the heading being 1, as a spreadsheet counts rows */
export type OnRecord = (cells: string[], number: number) => void;

interface Parsed {
  data: string[][];
  errors: { code: string; row: number }[];
  meta: { cursor: number };
}

export class RecordReader {
  #rest = "";
  #number = 0;
  #begun = false;
  #newline: string | null = null;

  constructor(
    private readonly separator: Separator,
    private readonly onRecord: OnRecord,
  ) {}

  /** @throws {TableFault} */
  push(text: string): void {
    this.#read(this.#rest + text, false);
  }

  /** @throws {TableFault} */
  end(): void {
    this.#read(this.#rest, true);
  }

  #read(text: string, last: boolean): void {
    this.#newline ??= newlineOf(text, last);
    if (this.#newline === null || text === "") return void (this.#rest = this.#short(text));
    const parser = new Papa.Parser({ delimiter: this.separator, newline: this.#newline as "\n" });
    const { data, errors, meta } = parser.parse(text, 0, !last) as Parsed;
    for (const cells of data) {
      this.#number++;
      if (cells.length === 1 && cells[0] === "") continue; // an empty line is no row
      if (!this.#begun && SAYS_SEPARATOR.test(cells.join(this.separator))) continue;
      this.#begun = true;
      if (cells.length > MOST_COLUMNS)
        throw this.#fault(`${cells.length} columns`, `at most ${MOST_COLUMNS}`);
      if (last && errors.some(({ code, row }) => code === "MissingQuotes" && data[row] === cells))
        throw this.#fault("a quote that is never closed", "a closing quote");
      this.onRecord(cells, this.#number);
    }
    this.#rest = last ? "" : this.#short(text.slice(meta.cursor));
  }

  #short(text: string): string {
    if (text.length <= LONGEST_RECORD) return text;
    this.#number++;
    throw this.#fault(
      `more than ${LONGEST_RECORD} characters${text.includes('"') ? ", perhaps a quote that is never closed" : ""}`,
      "rows that end",
    );
  }

  #fault = (found: string, expected: string) => new TableFault(issue(`row ${this.#number}`, found, expected));
}

/** The end of the first line decides, line breaks within quotes aside; null while it is not in sight. */
function newlineOf(text: string, last: boolean): string | null {
  const at = endOfLine(text);
  if (at < 0 || (text[at] === "\r" && at + 1 === text.length)) return last ? "\n" : null;
  return text[at] === "\n" ? "\n" : text[at + 1] === "\n" ? "\r\n" : "\r";
}

/** A quote opens at the beginning of a cell alone. */
const BEFORE_A_CELL: readonly string[] = [...SEPARATORS, "\n", "\r"];

function endOfLine(text: string): number {
  let isQuoted = false;
  for (let k = 0; k < text.length; k++) {
    const c = text[k]!;
    if (isQuoted && c === '"' && text[k + 1] === '"')
      k++; // a quote that is meant
    else if (isQuoted) isQuoted = c !== '"';
    else if (c === '"') isQuoted = k === 0 || BEFORE_A_CELL.includes(text[k - 1]!);
    else if (c === "\n" || c === "\r") return k;
  }
  return -1;
}

/** What the table says of itself; else the separator that papaparse finds most even over the first records, or the heading holds most of. */
export function separatorOf(head: string): Separator {
  const begun = head.replace(/^[\r\n]+/, "");
  const end = endOfLine(begun);
  const first = end < 0 ? begun : begun.slice(0, end);
  const said = SAYS_SEPARATOR.exec(first)?.[1];
  const guessed = Papa.parse(head, { preview: 50, delimitersToGuess: [...SEPARATORS] }).meta.delimiter;
  const many = (s: string) => first.split(s).length - 1;
  const [most] = [...SEPARATORS].sort((x, y) => many(y) - many(x));
  const isFound = many(guessed) > 0;
  return SEPARATORS.find((s) => s === (said ?? (isFound ? guessed : most))) ?? ",";
}
