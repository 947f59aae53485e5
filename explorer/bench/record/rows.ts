/** The rows of the record. One of which nothing has changed stays the very object it was, and is not drawn anew. Pure. */
import type { Entry } from "../../../engine/ticket/schema.js";
import type { Setup } from "../../../engine/ticket/setup.js";
import type { EntryView } from "../../../engine/weighing.js";
import { dayOf } from "../format.js";

export interface Row {
  entry: Entry;
  /** its place, from 1 on */
  number: number;
  setup: Setup;
  view: EntryView | null;
  fault: string | null;
  /** whether all of it is on the disk */
  saved: boolean;
  date: string;
  /** the date, where it is another one than that of the row before */
  day: string;
  last: boolean;
}

/** What the rows show; `setups` and `views` by place and by id of the entries. */
export interface Recorded {
  entries: readonly Entry[];
  setups: readonly Setup[];
  views: readonly EntryView[];
  /** by place */
  faults: ReadonlyMap<number, string>;
  isSaved: (entry: Entry) => boolean;
}

export function rowsOf(of: Recorded, before: readonly Row[]): Row[] {
  const old = new Map(before.map((row) => [row.entry.id, row]));
  const views = new Map(of.views.map((view) => [view.id, view]));
  let above = "";
  return of.entries.map((entry, i) => {
    const was = old.get(entry.id);
    const date = was?.entry.at === entry.at && was ? was.date : dayOf(entry.at);
    const row: Row = {
      entry,
      number: i + 1,
      setup: of.setups[i]!,
      view: views.get(entry.id) ?? null,
      fault: of.faults.get(i) ?? null,
      saved: of.isSaved(entry),
      date,
      day: date === above ? "" : date,
      last: i === of.entries.length - 1,
    };
    above = date;
    return was && isSame(was, row) ? was : row;
  });
}

const isSame = (one: Row, other: Row) =>
  (Object.keys(one) as (keyof Row)[]).every((key) => one[key] === other[key]);
