/** The beginning of a table, as it is proposed or as a person says that it is written. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { beginningOf, type Beginning } from "../../engine/learn/intake.js";
import { spaceOf, type Space } from "../../engine/learn/space.js";
import { decoderOf } from "../../engine/learn/table/encoding.js";
import {
  isUndecided,
  proposeMatching,
  ROLE_NAMES,
  type Matching,
  type Role,
} from "../../engine/learn/table/matching.js";
import { RecordReader, separatorOf, type Separator } from "../../engine/learn/table/records.js";
import { isTallyHeading } from "../../engine/learn/tally/table.js";
import type { Remembered } from "./remembered.js";

/** How a table is written, as far as a person has said so. */
export type Written = Partial<Pick<Matching, "encoding" | "separator">>;

const SHOWN = 30;

/**
 * @param head   the first bytes of the file
 * @param whole  they are all of it
 * @throws {TableFault} where not even a heading can be read
 */
export function lookedAt(head: Uint8Array, written: Written, space: Space, whole: boolean): Beginning {
  if (written.encoding === undefined) return beginningOf(head, space, whole);
  const decode = decoderOf(written.encoding);
  const text = decode(head) + (whole ? decode(null) : "");
  const dialect = { encoding: written.encoding, separator: written.separator ?? separatorOf(text) };
  const records = recordsOf(text, dialect.separator, whole);
  const [heading = [], ...rows] = records;
  const matching = proposeMatching(records, dialect, space);
  return {
    isTally: isTallyHeading(heading),
    heading,
    rows: rows.slice(0, SHOWN),
    matching,
    isUndecided: isUndecided(records, matching),
  };
}

function recordsOf(text: string, separator: Separator, whole: boolean): string[][] {
  const records: string[][] = [];
  const reader = new RecordReader(separator, (cells) => void records.push(cells));
  reader.push(text);
  if (whole) reader.end();
  return records;
}

/** How the file is written is told by the file; what its columns and words mean may be known from the last one like it. */
export function matchingOf(beginning: Beginning, known: Remembered | null, catalog: Catalog): Matching {
  if (known === null) return beginning.matching;
  const { columns, stopsAt, words } = known;
  const { decimal, days } = marksOf(beginning, columns, catalog);
  return { ...beginning.matching, columns, stopsAt, words, decimal, days };
}

/** Decimal mark and day order, from the cells of the columns that hold figures and days. */
export function marksOf(
  { heading, rows, matching }: Beginning,
  columns: Matching["columns"],
  catalog: Catalog,
): Pick<Matching, "decimal" | "days"> {
  // what was proposed for these very columns rests on more rows than are shown
  const isProposed = (role: Role) => columns[role] === matching.columns[role];
  if (isProposed("closed") && isProposed("age") && isProposed("minutes")) return matching;
  // the engine looks for columns by what they are called: each is called by what it holds
  const named = heading.map((name) => ROLE_NAMES.find((role) => columns[role] === name) ?? "");
  return proposeMatching([named, ...rows], matching, spaceOf(catalog));
}
