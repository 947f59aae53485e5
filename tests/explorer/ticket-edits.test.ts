import { expect, test } from "vitest";
import type { EntryOf } from "../../engine/ticket/schema.js";
import { Ticket } from "../../engine/ticket/schema.js";
import { besides } from "../../explorer/bench/besides.js";
import { parkingOf } from "../../explorer/bench/record/parking.js";
import { bandScale, numberIn } from "../../explorer/bench/record/band.js";
import { typed, withCommon } from "../../explorer/bench/record/forms/common.js";
import { keyAction, outcomeKeys } from "../../explorer/bench/strip/keys.js";
import { newTicket } from "../../explorer/list/new-ticket.js";
import {
  addSpare,
  append,
  freshId,
  insert,
  moveFit,
  moveParts,
  press,
  remove,
  setSettings,
  writeStart,
} from "../../explorer/bench/ticket-edits.js";
import { setupsThrough, tallyOf, Words } from "../../explorer/bench/words.js";
import { catalog, ticket } from "./small.js";

const at = "2030-01-02T08:00:00.000Z";
const fitted = { A1: "m1", A2: "m2", bay: null };

test("an id that a deleted entry left free does not clash with one that is taken", () => {
  const three = press(press(ticket, catalog, { outcome: "dead", conditions: {}, at }), catalog, {
    outcome: "dead",
    conditions: { rest: "cold" },
    at,
  });
  const gap = remove(three, "e2");
  const again = press(gap, catalog, { outcome: "dead", conditions: {}, at });
  expect(again.entries.map((e) => e.id)).toEqual(["e1", "e3", "e4"]);
  expect(freshId([])).toBe("e1");
});

test("a start that a form was opened for is written though it was undone or its row deleted since", () => {
  const dead = (ticket: Ticket) => press(ticket, catalog, { outcome: "dead", conditions: {}, at });
  const [one, two] = [dead(ticket), dead(dead(ticket))];
  const row = two.entries.at(-1) as EntryOf<"starts">;
  const coded = { ...row.trials[1]!, code: "3 short" };
  const codes = (ticket: Ticket) =>
    ticket.entries.flatMap((e) => (e.kind === "starts" ? e.trials.map(({ code }) => code ?? "-") : []));
  expect(codes(writeStart(two, row, 1, coded))).toEqual(["-", "3 short"]);
  expect(codes(writeStart(one, row, 1, coded))).toEqual(["-", "3 short"]);
  expect(codes(writeStart(remove(two, row.id), row, 1, coded))).toEqual(["-", "3 short"]);
  expect(codes(writeStart(ticket, row, 1, coded))).toEqual(["3 short"]);
});

test("work and a release end the parking; a note, a report and what was done before do not", () => {
  const since = "2030-01-01T08:00:00.000Z";
  const parked: Ticket = { ...ticket, parked: { for: "part", since } };
  const start = { outcome: "dead", conditions: {}, at };
  const [started, moved] = [press(ticket, catalog, start), moveParts(ticket, { A1: null }, at)];
  const again = (of: Ticket): Ticket => ({ ...of, parked: parked.parked });
  for (const worked of [
    press(parked, catalog, start),
    press(again(started), catalog, start),
    moveParts(parked, { A1: null }, at),
    moveParts(again(moved), { A2: null }, at),
    setSettings(again(moved), { speed: "rated" }, at),
    append(parked, { kind: "release", at }),
  ])
    expect(worked).not.toHaveProperty("parked");
  for (const waiting of [
    append(parked, { kind: "note", text: "rang", at }),
    append(parked, { kind: "starts", by: "owner", trials: [{ outcome: "dead" }] }),
    insert(parked, { kind: "change", fit: { A1: null } }, "e1"),
    remove(again(started), "e2"),
  ])
    expect(waiting).toHaveProperty("parked");
});

test("what a step did besides is said where it did something", () => {
  const since = "2030-01-01T08:00:00.000Z";
  const parked: Ticket = { ...ticket, parked: { for: "part", since } };
  const start = { outcome: "dead", conditions: {}, at };
  const worked = press(parked, catalog, start);
  expect(besides(ticket, worked)).toBe("");
  expect(besides(parked, worked)).toBe(
    "Back on the bench: it was parked, waiting for a part to come. Undo parks it again.",
  );
  expect(besides(worked, parked)).toBe("Parked again, waiting for a part to come.");
  expect([besides(ticket, parked), besides(parked, ticket)]).toEqual(["", ""]);

  const released = append(parked, { kind: "release", at });
  const after = press(released, catalog, start);
  expect(besides(parked, released)).toBe("");
  expect(besides(released, append(released, { kind: "note", text: "fetched" }))).toBe("");
  expect(besides(released, after)).toMatch(/^This stands after the release/);
  expect([besides(after, released), besides(released, ticket)]).toEqual(["", ""]);
});

test("a parking from before a release holds no longer, one from after it does", () => {
  const released = append(ticket, { kind: "release", at });
  const since = (hour: string): Ticket => ({
    ...released,
    parked: { for: "cold", since: `2030-01-02T${hour}:00:00.000Z` },
  });
  expect([parkingOf(since("07")), parkingOf(since("09"))?.for]).toEqual([null, "cold"]);
});

test("a part put where another sits changes places with it; one from the shelf sends it to the shelf", () => {
  expect(moveFit(fitted, "m1", "A2")).toEqual({ A1: "m2", A2: "m1" });
  expect(moveFit(fitted, "m3", "A2")).toEqual({ A2: "m3" });
  expect(moveFit(fitted, "m1", null)).toEqual({ A1: null });
  expect(moveFit(fitted, "m3", null)).toEqual({});
});

test("moves of different parts are one change, a part touched twice is reseated twice", () => {
  const one = moveParts(moveParts(ticket, { A1: null }, at), { A2: "m3" }, at);
  expect(one.entries.length).toBe(2);
  const back = moveParts(one, { A1: "m1" }, at);
  expect(back.entries.length).toBe(3);
  expect(setupsThrough(catalog, back).now.fit).toMatchObject({ A1: "m1", A2: "m3" });
});

test("a setting joins the change being made, and every ticket made here is one the schema takes", () => {
  const changed = addSpare(
    setSettings(moveParts(ticket, { A1: null }, at), { speed: "rated" }, at),
    "module",
    "Known-good module",
  );
  expect(changed.entries.length).toBe(2);
  expect(Ticket.safeParse(changed).success).toBe(true);
});

test("an intake of five dead in fourteen is two lines that the owner counted", () => {
  const form = {
    title: "Front desk",
    owner: "",
    ageYears: 5,
    complaint: "",
    events: { moved: 2 },
    counted: { failed: 5, of: 14, outcome: null, conditions: {} },
    spares: [],
  };
  const made = newTicket(form, catalog, "t9", at);
  expect(Ticket.parse(made)).toEqual(made);
  const starts = made.entries[1] as EntryOf<"starts">;
  expect(starts).toMatchObject({
    by: "owner",
    trials: [
      { outcome: ["dead", "memory"], n: 5 },
      { outcome: "clean", n: 9 },
    ],
  });
  expect(made.machine.events?.[0]?.yearsBefore).toBeCloseTo(14 / 365.25, 12);
});

test("a tally is in the order the machine passes its stages, voided starts apart", () => {
  const starts: EntryOf<"starts"> = {
    kind: "starts",
    id: "x",
    trials: [
      { outcome: "clean" },
      { outcome: "memory", n: 2 },
      { outcome: "dead", voided: "wrong key" },
      { outcome: "memory" },
    ],
  };
  expect(tallyOf(starts, catalog)).toEqual([
    { outcome: "dead", n: 0, pending: 0, voided: 1 },
    { outcome: "memory", n: 3, pending: 0, voided: 0 },
    { outcome: "clean", n: 1, pending: 0, voided: 0 },
  ]);
});

test("a setup is said by how it differs from the machine as it came in", () => {
  const words = new Words(catalog, ticket);
  const said = (fit: Record<string, string | null>) =>
    words.setup(setupsThrough(catalog, moveParts(ticket, fit, at)).now);
  expect(words.setup(setupsThrough(catalog, ticket).now)).toBe("as it came in");
  expect(said({ A1: null })).toBe("slot A1 empty");
  expect(said({ A2: "m3" })).toBe("spare module in slot A2");
  expect(words.outcome(["dead", "memory"])).toBe("stopped, not seen where");
  expect(words.outcome(["memory", "clean"])).toBe("memory or clean");
});

test("keys follow the stages, 0 is a clean start, and single keys can be switched off", () => {
  const keys = outcomeKeys(catalog);
  const bare = { ctrlKey: false, metaKey: false, altKey: false, shiftKey: false, repeat: false };
  expect(keys.map((k) => [k.key, k.outcome])).toEqual([
    ["1", "dead"],
    ["2", "memory"],
    ["0", "clean"],
  ]);
  expect(keyAction({ ...bare, key: "2" }, keys, true)).toBe(keys[1]);
  expect(keyAction({ ...bare, key: "2" }, keys, false)).toBeNull();
  expect(keyAction({ ...bare, key: "2", repeat: true }, keys, true)).toBeNull();
  expect(keyAction({ ...bare, key: "Z", ctrlKey: true, shiftKey: true }, keys, false)).toBe("redo");
});

test("a reading is told beside its band in whichever unit, and text that is no number is kept as it stands", async () => {
  const reading = {
    id: "v",
    name: "V",
    on: "machine",
    unit: "V",
    range: [0, 20],
    band: { low: 4.75, high: 5.25 },
    healthy: { mean: 5, sd: 0.1 },
    causes: {},
    minutes: 1,
  } as const;
  const of = async (value: number | string) =>
    bandScale({ ...reading, range: [0, 20] }, value, await numberIn(value, reading.unit));
  expect(await of(4.61)).toMatchObject({ inside: false, verdict: "0.14 V below band 4.75–5.25 V" });
  expect(await of(4.75)).toMatchObject({ inside: true });
  expect(await of("4.61 V")).toMatchObject({ inside: false, text: "4.61 V" });
  expect(await of("4900 mV")).toEqual({ ...(await of("4.9 V")), text: "4900 mV" });
  expect(await of("4900 mV")).toMatchObject({ verdict: "in band 4.75–5.25 V" });
  expect(await of("0.00461 kV")).toMatchObject({ verdict: "0.14 V below band 4.75–5.25 V" });
  expect(await of("5250 mV")).toMatchObject({ inside: true });
  expect(await numberIn("0.003465 kV", "V")).toBe(3.465); // a hair more would lie above a band that ends there
  for (const other of ["4810 mA", "about 5 V", "none"])
    expect(await of(other)).toMatchObject({ text: other, verdict: "", at: null });
  expect([typed("4,81"), typed(" 4810 mV "), typed("")]).toEqual([4.81, "4810 mV", ""]);
});

test("an empty remark or time is left out of the entry, a new one replaces the old", () => {
  const note = { kind: "note", text: "x", note: "old", minutes: 3 } as const;
  expect(withCommon(note, { at: undefined, minutes: undefined, note: "" })).toEqual({
    kind: "note",
    text: "x",
  });
  expect(withCommon(note, { at, minutes: 2, note: "new" })).toEqual({
    kind: "note",
    text: "x",
    at,
    minutes: 2,
    note: "new",
  });
});
