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
  const old = finder(before, (row) => row.entry.id);
  const views = finder(of.views, (view) => view.id);
  let above = "";
  return of.entries.map((entry, i) => {
    const was = old(entry.id, i);
    const date = was?.entry.at === entry.at && was ? was.date : dayOf(entry.at);
    const row: Row = {
      entry,
      number: i + 1,
      setup: of.setups[i]!,
      view: views(entry.id, i) ?? null,
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

/** Finds by id what mostly stands in the same place. */
function finder<T>(list: readonly T[], idOf: (item: T) => string) {
  let byId: Map<string, T> | undefined;
  return (id: string, place: number): T | undefined => {
    const here = list[place];
    if (here !== undefined && idOf(here) === id) return here;
    return (byId ??= new Map(list.map((item) => [idOf(item), item]))).get(id);
  };
}

function isSame(one: Row, other: Row): boolean {
  for (const key in one) if (one[key as keyof Row] !== other[key as keyof Row]) return false;
  return true;
}

const IN_A_GROUP = 8;

/** The rows by eights, so that a browser has no more than that to go through. One that is as it was stays the same. */
export function groupsOf(rows: readonly Row[], before: readonly Row[][]): Row[][] {
  return Array.from({ length: Math.ceil(rows.length / IN_A_GROUP) }, (_, g) => {
    const group = rows.slice(g * IN_A_GROUP, (g + 1) * IN_A_GROUP);
    const was = before[g];
    return was?.length === group.length && was.every((row, i) => row === group[i]) ? was : group;
  });
}
