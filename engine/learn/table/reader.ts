/**
 * A table of past tickets, piece by piece: every row becomes a ticket or is rejected with a reason; nothing is mended and
 * nothing is passed over in silence.
 */
import Papa from "papaparse";
import { guarded } from "../../csv.js";
import { issue } from "../../issue.js";
import type { PastTicket, Space } from "../space.js";
import { ownCopy } from "./cells.js";
import { UNREADABLE } from "./encoding.js";
import type { Matching } from "./matching.js";
import { RecordReader, TableFault } from "./records.js";
import { rowReader, type Rejection, type RowReader } from "./row.js";
import { Seen } from "./seen.js";

export interface Listener {
  /** @param key  the ticket's number, or its row where none was told: steady from run to run */
  ticket(ticket: PastTicket, key: string): void;
  rejected(rejection: Rejection, cells: readonly string[]): void;
}

/** What was read. */
export interface TableCount {
  rows: number;
  tickets: number;
  rejected: number;
  /** rejected rows by column and what was expected there */
  reasons: { column: string; expected: string; rows: number }[];
  /** what accepted rows say that nothing is learned from */
  unused: { what: string; rows: number }[];
  /** words that name no cause, with the number of rows that hold them, most frequent first */
  strangers: { word: string; rows: number }[];
}

const STRANGE = new RegExp(`[\\0${UNREADABLE}]`);
/** More different words than this are counted together: a column of free text has no two alike. */
const MOST_STRANGERS = 1000;

export class TableReader {
  #heading: string[] | null = null;
  #row: RowReader | null = null;
  #ticketAt = -1;
  #causeAt = -1;
  readonly #records: RecordReader;
  readonly #reasons = new Map<string, { column: string; expected: string; rows: number }>();
  readonly #strangers = new Map<string, number>();
  readonly #unused = new Map<string, number>();
  /** somewhere so far there was a character that no cell may hold: from then on every cell is asked */
  #isStrange = false;
  #rows = 0;
  #tickets = 0;

  constructor(
    private readonly matching: Matching,
    private readonly space: Space,
    private readonly listener: Listener,
    /** numbers of the tickets read so far, in earlier tables too */
    private readonly seen: Seen = new Seen(),
  ) {
    this.#records = new RecordReader(matching.separator, (cells, number) => this.#record(cells, number));
  }

  /** @throws {TableFault} */
  push(text: string): void {
    this.#isStrange ||= STRANGE.test(text);
    this.#records.push(text);
  }

  /** @throws {TableFault} where there are no rows, or the table cannot be read to its end */
  end(): void {
    this.#records.end();
    if (this.#rows === 0) throw new TableFault(issue("table", "no rows", "a heading and rows"));
  }

  count(): TableCount {
    return {
      rows: this.#rows,
      tickets: this.#tickets,
      rejected: this.#rows - this.#tickets,
      reasons: [...this.#reasons.values()].sort((x, y) => y.rows - x.rows),
      unused: [...this.#unused].map(([what, rows]) => ({ what, rows })),
      strangers: [...this.#strangers].map(([word, rows]) => ({ word, rows })).sort((x, y) => y.rows - x.rows),
    };
  }

  #record(cells: string[], number: number): void {
    if (this.#heading === null) return this.#begin(cells);
    this.#rows++;
    const read = this.#row!(cells, number, this.#isStrange);
    const again = "cause" in read ? this.#again(cells, number) : null;
    if ("cause" in read && again === null) {
      this.#tickets++;
      this.#setAside(read);
      const id = this.#ticketAt < 0 ? "" : cells[this.#ticketAt]!.trim();
      this.listener.ticket(read, id === "" ? `row ${number}` : id);
    } else this.#reject(again ?? (read as Rejection), cells);
  }

  /** What a row says that nothing is learned from is counted, so that nobody thinks it was. */
  #setAside({ minutes, repair }: PastTicket): void {
    const what =
      minutes === 0 ? "minutes of 0" : minutes > 0 && repair < 0 ? "minutes without a repair" : null;
    if (what !== null) this.#unused.set(what, (this.#unused.get(what) ?? 0) + 1);
  }

  #begin(heading: string[]): void {
    const { columns, stopsAt } = this.matching;
    for (const name of [...Object.values(columns), ...Object.values(stopsAt)])
      if (!heading.includes(name))
        throw new TableFault(
          issue("row 1", `the headings ${heading.slice(0, 12).join(", ")}`, `one named ${name}`),
        );
    const twice = heading.find((name, k) => name !== "" && heading.indexOf(name) !== k);
    if (twice !== undefined) throw new TableFault(issue("row 1", `${twice} twice`, "headings that differ"));
    this.#heading = heading;
    this.#row = rowReader(heading, this.matching, this.space);
    this.#ticketAt = heading.indexOf(columns.ticket ?? "\0");
    this.#causeAt = heading.indexOf(columns.cause ?? "\0");
  }

  #again(cells: string[], row: number): Rejection | null {
    const id = this.#ticketAt < 0 ? "" : cells[this.#ticketAt]!.trim();
    if (id === "" || !this.seen.add(id)) return null;
    return { row, column: "ticket", found: id, expected: "a number that no earlier ticket has" };
  }

  #reject(rejection: Rejection, cells: readonly string[]): void {
    const { column, expected } = rejection;
    const key = `${column}\0${expected}`;
    const reason = this.#reasons.get(key) ?? { column, expected, rows: 0 };
    reason.rows++;
    if (this.#reasons.size < 1000) this.#reasons.set(key, reason);
    if (column === "cause" && this.#causeAt >= 0) this.#stranger(cells[this.#causeAt]!.trim());
    this.listener.rejected(rejection, cells);
  }

  #stranger(word: string): void {
    const key = this.#strangers.size < MOST_STRANGERS || this.#strangers.has(word) ? word : "(other words)";
    const rows = this.#strangers.get(key);
    this.#strangers.set(rows === undefined ? ownCopy(key) : key, (rows ?? 0) + 1);
  }
}

const csvLine = (cells: readonly (string | number)[]): string => Papa.unparse([cells.map(guarded)]) + "\r\n";

export const rejectedHeading = (heading: readonly string[]): string =>
  csvLine(["row", "column", "found", "expected", ...heading]);

/** A rejected row as a line of CSV: where, what was found, what was expected, and the row as it stood. */
export const rejectedLine = (r: Rejection, cells: readonly string[]): string =>
  csvLine([r.row, r.column, r.found, r.expected, ...cells]);
