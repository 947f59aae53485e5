/** What is done to a record as a whole, and what is made from plain answers. */
import { expect, test } from "vitest";
import { CauseTemplate } from "../../engine/catalog/schema.js";
import { Ticket } from "../../engine/ticket/schema.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import {
  addCause,
  belongings,
  blankCause,
  causeFrom,
  causeId,
  COMMON,
  dropCause,
  SHOWING,
} from "../../explorer/bench/record/own-cause.js";
import { takeElsewhere, wayHome } from "../../explorer/bench/record/elsewhere.js";
import {
  knownCodes,
  outcomeChoices,
  plannedLoad,
  stopped,
} from "../../explorer/bench/record/outcome-choices.js";
import { gripAction } from "../../explorer/bench/record/record-keys.js";
import { append, bringBack, insert, moveEntry, remove, sendPart } from "../../explorer/bench/ticket-edits.js";
import { setupsThrough } from "../../explorer/bench/words.js";
import { fitted } from "../../explorer/photos/scale.js";
import { catalog, ticket } from "./small.js";

const note = (text: string) => ({ kind: "note", text }) as const;
const three = append(append(ticket, note("a")), note("b"));
const ids = (t: Ticket) => t.entries.map((entry) => entry.id);

test("an entry comes before another one, and moves there and back", () => {
  expect(ids(insert(three, note("c"), "e2"))).toEqual(["e1", "e4", "e2", "e3"]);
  expect(ids(insert(three, note("c"), null))).toEqual(["e1", "e2", "e3", "e4"]);
  expect(ids(moveEntry(three, "e3", "e2"))).toEqual(["e1", "e3", "e2"]);
  expect(ids(moveEntry(three, "e1", null))).toEqual(["e2", "e3", "e1"]);
  expect(moveEntry(three, "e2", "e2")).toBe(three);
  expect(moveEntry(three, "e9", null)).toBe(three);
});

test("a deleted entry comes back where it stood, at the end where its neighbour is gone too, and its id stays its own", () => {
  const gone = remove(three, "e2");
  expect([ids(gone), gone.deleted?.length]).toEqual([["e1", "e3"], 1]);
  expect(append(gone, note("new")).entries.at(-1)?.id).toBe("e4");
  expect(bringBack(gone, "e2")).toEqual(three);
  const both = remove(gone, "e3");
  expect(ids(bringBack(both, "e2"))).toEqual(["e1", "e2"]);
  expect(ids(bringBack(bringBack(both, "e2"), "e3"))).toEqual(["e1", "e2", "e3"]);
  expect(Ticket.safeParse(both).success).toBe(true);
});

test("a part goes to another machine and the way home puts everything back where it was", () => {
  const trip = { part: "m1", position: "A1", donor: null, name: "bench machine" };
  const away = takeElsewhere(ticket, trip, "2030-01-02T08:00:00.000Z");
  expect(away.machine.donors).toEqual([{ id: "donor-1", name: "bench machine" }]);
  expect(setupsThrough(catalog, away).now).toMatchObject({
    in: "donor-1",
    guest: { A1: "m1" },
    fit: { A1: null },
  });
  expect(checkTicket(catalog, away)).toEqual([]);
  const home = wayHome(away, setupsThrough(catalog, away));
  expect(home).toEqual({ in: "own", fit: { A1: "m1" } });
  const back = append(away, { kind: "change", ...home });
  expect(setupsThrough(catalog, back).now).toMatchObject({ in: "own", fit: { A1: "m1", A2: "m2" } });
  expect(wayHome(back, setupsThrough(catalog, back))).toBeNull();
});

test("a cause of one's own that belongs to a kind of place is said to belong to each of them", () => {
  expect(belongings(catalog, ticket).map(({ name }) => name)).toEqual([
    "the machine as a whole",
    "Module",
    "each of the places: Slot A1, Slot A2",
    "the place: Bay",
  ]);
});

test("every answer to the form of an own cause makes a cause that the schema and the catalog take", () => {
  for (const { key: per } of belongings(catalog, ticket))
    for (const showing of Object.keys(SHOWING) as (keyof typeof SHOWING)[])
      for (const common of Object.keys(COMMON) as (keyof typeof COMMON)[])
        for (const when of [null, { condition: "rest", class: "cold" }])
          for (const reseats of [false, true]) {
            const answers = {
              ...blankCause,
              name: "Stand-off",
              stages: ["dead", "memory"],
              per,
              showing,
              common,
              when,
              reseats,
            };
            const cause = causeFrom(answers, causeId("Stand-off", []));
            expect(CauseTemplate.safeParse(cause).error).toBeUndefined();
            expect(checkTicket(catalog, addCause(ticket, cause))).toEqual([]);
          }
});

test("an own cause has an id of its own, and leaves no trace when it is taken off the list", () => {
  expect(causeId("Stand-off shorts the board!", ["own-stand-off-shorts-the-board"])).toBe(
    "own-stand-off-shorts-the-board-2",
  );
  expect(causeId("x".repeat(300), []).length).toBeLessThanOrEqual(64);
  const cause = causeFrom({ ...blankCause, name: "x", stages: ["dead"] }, "own-x");
  expect(dropCause(addCause(ticket, cause), "own-x")).toEqual(ticket);
});

test("where a part went is written on the part, and taken off it again", () => {
  const sent = sendPart(ticket, "m1", { to: "spare", bad: 0.3 });
  expect(sent.machine.parts[0]?.went).toEqual({ to: "spare", bad: 0.3 });
  expect(Ticket.safeParse(sent).success).toBe(true);
  expect(sendPart(sent, "m1", null)).toEqual(ticket);
});

test("a start may be any stage, clean, a stop not seen, or the set that it is", () => {
  expect(outcomeChoices(catalog).map((c) => c.outcome)).toEqual([
    "dead",
    "memory",
    ["dead", "memory"],
    "clean",
  ]);
  expect(outcomeChoices(catalog, ["memory", "clean"]).at(-1)?.outcome).toEqual(["memory", "clean"]);
  expect([
    stopped("clean"),
    stopped("dead"),
    stopped(["dead", "memory"]),
    stopped(["dead", "clean"]),
  ]).toEqual([false, true, true, false]);
  expect(plannedLoad(catalog, ticket, {})).toBe(0);
  const coded = append(ticket, {
    kind: "starts",
    trials: [
      { outcome: "dead", code: "1" },
      { outcome: "dead", code: "2" },
      { outcome: "dead", code: "1" },
    ],
  });
  expect(knownCodes(coded)).toEqual(["1", "2"]);
});

test("keys on a grip move the focus, move the entry with Alt, and leave the rest to the page", () => {
  const press = (key: string, held: Partial<KeyboardEvent> = {}) =>
    gripAction({ key, altKey: false, ctrlKey: false, metaKey: false, ...held });
  expect(press("ArrowUp")).toBe("up");
  expect(press("ArrowUp", { altKey: true })).toBe("move up");
  expect(press("Delete")).toBe("delete");
  expect(press("Delete", { altKey: true })).toBeNull();
  expect(press("z", { ctrlKey: true })).toBeNull();
  expect(press("Enter")).toBeNull();
});

test("a photograph is never made larger, keeps its shape, and its longer side is 1600 pixels at most", () => {
  expect(fitted(4000, 3000)).toEqual({ width: 1600, height: 1200 });
  expect(fitted(3000, 4000)).toEqual({ width: 1200, height: 1600 });
  expect(fitted(800, 600)).toEqual({ width: 800, height: 600 });
  expect(fitted(40000, 3)).toEqual({ width: 1600, height: 1 });
});
