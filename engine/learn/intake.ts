/**
 * Bytes of a table, piece by piece → tickets gathered. Rows of tickets and tallies are told apart by their heading; what a
 * person has not said about the table is proposed from its beginning.
 */
import { issue } from "../issue.js";
import { Gathered } from "./gather.js";
import type { PastTicket, Space } from "./space.js";
import { decoderOf, encodingOf, type Encoding } from "./table/encoding.js";
import { isUndecided, proposeMatching, type Matching } from "./table/matching.js";
import { RecordReader, separatorOf, TableFault } from "./table/records.js";
import { TableReader, type Listener, type TableCount } from "./table/reader.js";
import { addTallyRow, isTallyHeading, TALLY_COLUMNS, type TallyRow } from "./tally/table.js";
import { tallyIssues } from "./tally/sound.js";
import { emptyTally } from "./tally/tally.js";

/** Characters from which a matching is proposed. */
export const HEAD = 1 << 16;
/** Characters that are waited for where the beginning does not tell in which order days are written. */
export const MOST_HEAD = 1 << 23;
const SHOWN = 30;

/** The beginning of a table, as far as it was understood. */
export interface Beginning {
  isTally: boolean;
  heading: string[];
  /** the first rows under the heading */
  rows: string[][];
  matching: Matching;
  /** days can be read either way, so far */
  isUndecided: boolean;
}

/** Files that are no text, by how they begin. */
const PACKED: [bytes: number[], what: string][] = [
  [[0x50, 0x4b, 3, 4], "a spreadsheet or a packed file"],
  [[0xd0, 0xcf, 0x11, 0xe0], "a spreadsheet"],
  [[0x1f, 0x8b], "a packed file"],
  [[0x25, 0x50, 0x44, 0x46], "a PDF"],
];

function refusePacked(head: Uint8Array): void {
  const packed = PACKED.find(([bytes]) => bytes.every((byte, k) => head[k] === byte));
  if (packed) throw new TableFault(issue("table", packed[1], "CSV: save the sheet as that first"));
}

/** JSON begins so; a heading of a table does not. */
const JSON_BEGINS = /^\s*(?:\{\s*["}]|\[\s*(?:["[{\]]|-?[\d.]+\s*,))/;

/** How a table is written, as far as a person has said so. */
export type Written = Partial<Pick<Matching, "encoding" | "separator">>;

/**
 * @param whole  the head is all of the table
 * @throws {TableFault} where not even a heading can be read
 */
export function beginningOf(
  head: Uint8Array,
  space: Space,
  whole = false,
  { encoding = encodingOf(head), separator }: Written = {},
): Beginning {
  refusePacked(head);
  const decode = decoderOf(encoding);
  const text = decode(head) + (whole ? decode(null) : "");
  return beginning(text, { encoding, separator: separator ?? separatorOf(text) }, space, whole);
}

function beginning(text: string, dialect: Required<Written>, space: Space, whole: boolean): Beginning {
  if (JSON_BEGINS.test(text)) throw new TableFault(issue("table", jsonWords(text), "CSV, one row a ticket"));
  const rows: string[][] = [];
  const reader = new RecordReader(dialect.separator, (cells) => void rows.push(cells));
  reader.push(text);
  if (whole) reader.end();
  const [heading = [], ...first] = rows;
  if (whole && first.length === 0)
    throw noRows(text.trim() === "" ? "an empty file" : "a heading and no rows");
  const matching = proposeMatching(rows, dialect, space);
  return {
    isTally: isTallyHeading(heading),
    heading,
    rows: first.slice(0, SHOWN),
    matching,
    isUndecided: isUndecided(rows, matching),
  };
}

const noRows = (found: string) => new TableFault(issue("table", found, "a heading and rows"));

const jsonWords = (text: string): string =>
  !text.includes('"fitful/ticket@')
    ? "JSON"
    : /^\s*\[/.test(text)
      ? "a list of tickets"
      : "the file of one ticket";

/** A table whose rows are already counted: its rows, and those that could not be added. */
class TallyIntake {
  readonly tally;
  readonly issues: ReturnType<typeof issue>[] = [];
  #heading: string[] | null = null;
  readonly #records: RecordReader;

  constructor(
    private readonly space: Space,
    separator: Matching["separator"],
  ) {
    this.tally = emptyTally(space);
    this.#records = new RecordReader(separator, (cells, number) => this.#row(cells, number));
  }

  push = (text: string): void => this.#records.push(text);

  end(): void {
    this.#records.end();
    if (this.issues.length === 0) this.issues.push(...tallyIssues(this.tally, this.space));
  }

  #row(cells: string[], number: number): void {
    if (this.#heading === null) return void (this.#heading = cells.map((h) => h.trim().toLowerCase()));
    if (cells.every((cell) => cell.trim() === "")) return;
    const row = Object.fromEntries(TALLY_COLUMNS.map((c) => [c, cells[this.#heading!.indexOf(c)] ?? ""]));
    const wrong = addTallyRow(this.tally, row as TallyRow, number, this.space);
    if (wrong) this.issues.push(wrong);
  }
}

function joined(one: Uint8Array, other: Uint8Array): Uint8Array {
  if (one.length === 0) return other;
  const all = new Uint8Array(one.length + other.length);
  all.set(one);
  all.set(other, one.length);
  return all;
}

export interface IntakeOptions {
  /** what a person said about the table; without it what is proposed holds */
  matching?: Matching | null;
  rejected?: Listener["rejected"];
  /** told the heading before the first row */
  begin?: (beginning: Beginning) => void;
  /** told every ticket that is accepted */
  ticket?: (ticket: PastTicket, key: string) => void;
}

export class Intake {
  gathered: Gathered | null = null;
  matching: Matching | null = null;
  #decode: ((bytes: Uint8Array | null) => string) | null = null;
  #encoding: Encoding = "utf-8";
  #first: Uint8Array = new Uint8Array();
  #held = "";
  #wanted = HEAD;
  #table: TableReader | TallyIntake | null = null;

  /** @param into  tickets of an earlier table, to be added to */
  constructor(
    private readonly space: Space,
    private readonly options: IntakeOptions = {},
    into: Gathered | null = null,
  ) {
    this.gathered = into;
  }

  /** @throws {TableFault} */
  push(bytes: Uint8Array): void {
    if (this.#decode) return this.#read(this.#decode(bytes));
    this.#first = joined(this.#first, bytes);
    if (this.#first.length >= HEAD) this.#decodeFirst();
  }

  /** The encoding is told by the beginning, which may come in small pieces. */
  #decodeFirst(): void {
    refusePacked(this.#first);
    this.#encoding = this.options.matching?.encoding ?? encodingOf(this.#first.subarray(0, HEAD));
    this.#decode = decoderOf(this.#encoding);
    this.#read(this.#decode(this.#first));
    this.#first = new Uint8Array();
  }

  #read(text: string): void {
    if (this.#table) return this.#table.push(text);
    this.#held += text;
    if (this.#held.length >= this.#wanted) this.#begin(false);
  }

  /** @throws {TableFault}  @returns what was read; null for a tally */
  end(): { count: TableCount | null; issues: ReturnType<typeof issue>[] } {
    if (!this.#decode) this.#decodeFirst();
    const rest = this.#decode!(null);
    if (!this.#table) {
      this.#held += rest;
      this.#begin(true);
    } else if (rest !== "") this.#table.push(rest);
    const table = this.#table!;
    table.end();
    if (table instanceof TableReader) return { count: table.count(), issues: [] };
    if (table.issues.length === 0) this.gathered!.addTally(table.tally);
    return { count: null, issues: table.issues };
  }

  #begin(whole: boolean): void {
    const separator = this.options.matching?.separator ?? separatorOf(this.#held);
    const begun = beginning(this.#held, { encoding: this.#encoding, separator }, this.space, whole);
    if (begun.heading.length === 0) return; // the first row is longer than what is held so far
    if (!this.options.matching && begun.isUndecided && !whole && this.#wanted < MOST_HEAD)
      return void (this.#wanted *= 2);
    const matching = this.options.matching ?? begun.matching;
    this.matching = matching;
    this.options.begin?.({ ...begun, matching });
    this.gathered ??= new Gathered(this.space, !begun.isTally && matching.columns.closed !== undefined);
    this.#table = begun.isTally
      ? new TallyIntake(this.space, begun.matching.separator)
      : new TableReader(
          matching,
          this.space,
          {
            ticket: (ticket, key) => {
              this.gathered!.add(ticket, key);
              this.options.ticket?.(ticket, key);
            },
            rejected: this.options.rejected ?? (() => {}),
          },
          this.gathered.seen,
        );
    this.#table.push(this.#held);
    this.#held = "";
  }
}
