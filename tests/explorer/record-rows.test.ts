/** A long record: what nothing has changed of is left alone, and what was worked out of it stands. */
import { expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { EntryView, Weighing } from "../../engine/weighing.js";
import { groupsOf, rowsOf, type Recorded, type Row } from "../../explorer/bench/record/rows.js";
import { dayOf } from "../../explorer/bench/format.js";
import { append, moveEntry, press } from "../../explorer/bench/ticket-edits.js";
import { Views } from "../../explorer/bench/views.js";
import { setupsThrough, type Setups } from "../../explorer/bench/words.js";
import { catalog, entry, ticket, weighing } from "./small.js";

const start = (of: Ticket, at: string) => press(of, catalog, { outcome: "clean", conditions: {}, at });
const note = (of: Ticket, at: string) => append(of, { kind: "note", text: "warm", at });
const monday = note(start(ticket, "2030-01-07T08:00:00"), "2030-01-07T09:00:00");
const record = note(monday, "2030-01-08T08:00:00");
const rest = { views: [], faults: new Map(), isSaved: () => true };

/** The rows of a record as it grows. */
function drawing() {
  let [rows, setups]: [Row[], Setups | null] = [[], null];
  return (of: Ticket, more: Partial<Recorded> = {}) => {
    setups = setupsThrough(catalog, of, setups);
    const before = rows;
    rows = rowsOf({ ...rest, entries: of.entries, setups: setups.at, ...more }, before);
    return { rows, kept: rows.map((row) => before.includes(row)) };
  };
}

test("a press makes one new row, and the one that was last is not last any more", () => {
  const draw = drawing();
  draw(record);
  expect(draw(start(record, "2030-01-08T08:10:00")).kept).toEqual([true, true, true, false, false]);
  expect(draw(record).kept).toEqual([true, true, true, false]);
});

test("a day is said once, where it begins, also after entries have changed places", () => {
  const draw = drawing();
  const days = (of: Ticket) => draw(of).rows.map(({ day }) => day);
  const [mon, tue] = [dayOf("2030-01-07T08:00:00"), dayOf("2030-01-08T08:00:00")];
  expect(days(record)).toEqual(["", mon, "", tue]);
  expect(days(moveEntry(record, "e4", "e2"))).toEqual(["", tue, mon, ""]);
});

test("a row is drawn anew for its own view, its own fault and its own save alone", () => {
  const draw = drawing();
  draw(record);
  const views = [entry("e2", {})];
  expect(draw(record, { views }).kept).toEqual([true, false, true, true]);
  expect(draw(record, { views, faults: new Map([[2, "no"]]) }).kept).toEqual([true, true, false, true]);
  expect(draw(record, { views, isSaved: ({ id }) => id !== "e4" }).kept).toEqual([true, true, false, false]);
});

test("rows stand in groups in their order, and a group is made anew for its own rows alone", () => {
  const draw = drawing();
  let long = record;
  for (let n = 0; n < 30; n++) long = note(long, "2030-01-08T09:00:00");
  const { rows } = draw(long);
  const groups = groupsOf(rows, []);
  const kept = (anew: Row[]) => groupsOf(anew, groups).map((group, g) => group === groups[g]);
  expect(groups.flat()).toEqual(rows);
  expect(groupsOf([], groups)).toEqual([]);
  const fault = draw(long, { faults: new Map([[0, "no"]]) }).rows;
  expect(kept(fault)).toEqual(groups.map((_, g) => g > 0));
  draw(long);
  const pressed = draw(start(long, "2030-01-08T10:00:00")).rows;
  expect(kept(pressed).slice(1)).toEqual(groups.slice(1).map((_, g) => g < groups.length - 2));
});

test("what was to be expected of an entry stands while a new belief comes without it, and so does the warning of it", () => {
  const bare = (view: EntryView): EntryView => ({ ...view, expected: null });
  const full = [entry("e1", {}), entry("e2", {})];
  const quick = full.map(bare);
  const odd = { code: "conflict", text: "this entry surprises", entry: "e2" };
  const unlisted = { code: "unlisted", text: "the list may be missing the cause", entry: null };
  const of = (entries: EntryView[], warnings: Weighing["warnings"] = []) => ({
    ...weighing,
    entries,
    warnings,
  });
  const views = new Views();
  expect(views.weighed(of(quick), null).entries).toEqual(quick);
  const proved = views.proved(of(full, [odd, unlisted]));
  const next = views.weighed(of([...quick, bare(entry("e3", {}))]), proved);
  next.entries.slice(0, 2).forEach((view, k) => expect(view).toBe(full[k]));
  expect([next.entries[2]!.expected, next.warnings]).toEqual([null, [odd]]);
  const changed = views.weighed(of([quick[0]!, bare(entry("e2", { a: 1 }))]), next);
  expect([changed.entries[1]!.expected, changed.warnings]).toEqual([null, []]);
});
