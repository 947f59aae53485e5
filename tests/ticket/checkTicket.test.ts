import { describe, expect, test } from "vitest";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import type { Entry, Machine, Ticket } from "../../engine/ticket/schema.js";
import { catalog, template, ticket } from "../plan/small.js";

const { machine } = ticket();
const said = (of: Ticket): string[] => checkTicket(catalog, of).map((x) => x.message);
const saidOfMachine = (changes: Partial<Machine>) =>
  said({ ...ticket(), machine: { ...machine, ...changes } });
const saidOf = (...entries: object[]) =>
  said(ticket(entries.map((entry, k) => ({ id: `e${k}`, ...entry }) as Entry)));

test("the kiosk has no fault", () => expect(said(ticket())).toEqual([]));

describe("the machine", () => {
  const parts = (...more: Machine["parts"]) => ({ parts: [...machine.parts, ...more] });
  test.each<[string, Partial<Machine>, string]>([
    [
      "a kind that is not known",
      parts({ id: "x", kind: "modul" }),
      'machine.parts[9].kind: found the part kind "modul", expected "module", the nearest of 5 known',
    ],
    [
      "a position that is not known",
      { parts: [{ id: "x", kind: "module", position: "A3" }] },
      'machine.parts[0].position: found the position "A3", expected "A1", the nearest of 6 known',
    ],
    [
      "a part where it does not fit",
      { parts: [{ id: "x", kind: "module", position: "bay" }] },
      "machine.parts[0].position: found x, a module, in bay, expected a supply there",
    ],
    [
      "two parts in one place",
      parts({ id: "x", kind: "module", position: "A1" }),
      "machine.parts[9].position: found A1, where m1 sits, expected a position of its own",
    ],
    [
      "an id twice",
      parts({ id: "m1", kind: "module" }),
      'machine.parts[9].id: found "m1" a second time, expected an id of its own',
    ],
    [
      "a donor that is called own",
      { donors: [{ id: "own" }] },
      'machine.donors[0].id: found "own", expected another id: that one means the ticket\'s own machine',
    ],
    [
      "a donor's part of no kind",
      { donors: [{ id: "d", parts: [{ kind: "modul", position: "A1" }] }] },
      'machine.donors[0].parts[0].kind: found the part kind "modul", expected "module", the nearest of 5 known',
    ],
    [
      "a setting that is not known",
      { settings: { sped: "rated" } },
      'machine.settings.sped: found the setting "sped", expected "speed", the nearest of 2 known',
    ],
    [
      "a value that is not known",
      { settings: { outlet: "wal" } },
      'machine.settings.outlet: found the value "wal", expected "wall", the nearest of 2 known',
    ],
    [
      "a class that is not known",
      { conditions: { rest: "hot" } },
      'machine.conditions.rest: found the class "hot", expected one of warm, cold',
    ],
    [
      "an event that is not known",
      { events: [{ event: "move", yearsBefore: 1 }] },
      'machine.events[0].event: found the event "move", expected "moved", the nearest of 1 known',
    ],
  ])("%s", (_, changes, message) => expect(saidOfMachine(changes)).toEqual([message]));

  test("a cause of the ticket's own is checked like the catalog's, and must not hide one of them", () => {
    const causes = [template("cord"), template("own", { signature: { ded: 1 } })];
    expect(said({ ...ticket(), causes })).toEqual([
      'causes[0].id: found "cord", which the catalog has, expected an id of its own',
      'causes[1].signature.ded: found the stage "ded", expected "dead", the nearest of 2 known',
    ]);
  });
});

describe("entries", () => {
  const starts = (trial: object, conditions?: object) => ({
    kind: "starts",
    trials: [trial],
    ...(conditions && { conditions }),
  });
  test.each<[string, object, string]>([
    [
      "an outcome that is not known",
      starts({ outcome: "memroy" }),
      'trials[0].outcome: found the outcome "memroy", expected "memory", the nearest of 3 known',
    ],
    [
      "one of several outcomes that is not known",
      starts({ outcome: ["dead", "dim"] }),
      'trials[0].outcome: found the outcome "dim", expected one of dead, memory, clean',
    ],
    [
      "a condition that is not known",
      starts({ outcome: "dead" }, { damp: 3 }),
      'conditions.damp: found the condition "damp", expected one of rest, load',
    ],
    [
      "a minute of a clean run",
      starts({ outcome: "clean", minute: 5 }, { load: "soak" }),
      "trials[0].minute: found 5 on a clean start, expected a minute only where the run stopped",
    ],
    [
      "a minute after the end",
      starts({ outcome: "dead", minute: 90 }, { load: "soak" }),
      "trials[0].minute: found 90, expected at most the 60 minutes that were planned (conditions.load)",
    ],
    [
      "a finding that is not known",
      { kind: "finding", finding: "smel", value: "burnt" },
      'finding: found the finding "smel", expected "smell", the nearest of 2 known',
    ],
    [
      "a value that is not known",
      { kind: "finding", finding: "smell", value: "burned" },
      'value: found the value "burned", expected "burnt", the nearest of 2 known',
    ],
    [
      "a finding on nothing in particular",
      { kind: "finding", finding: "dust", value: "dusty" },
      "on: found nothing, expected which slot: one of A1, A2",
    ],
    [
      "a finding on another kind of thing",
      { kind: "finding", finding: "dust", value: "dusty", on: "tray" },
      'on: found the slot "tray", expected one of A1, A2',
    ],
    [
      "a finding of the machine on a part",
      { kind: "finding", finding: "smell", value: "burnt", on: "s1" },
      'on: found "s1", expected nothing: it is made on the machine',
    ],
    [
      "a reading in another kind of unit",
      { kind: "reading", reading: "rail", on: "s1", value: "5 A" },
      'value: found "5 A", expected a number in V, or a quantity with a unit of that kind',
    ],
    [
      "a reading the instrument cannot show",
      { kind: "reading", reading: "rail", on: "s1", value: "25000 mV" },
      "value: found 25 V, expected what the instrument can show, 0 to 20 V",
    ],
    [
      "a repair that is not known",
      { kind: "repair", repair: "brish", on: "A1" },
      'repair: found the repair "brish", expected "brush", the nearest of 2 known',
    ],
    [
      "a part put where it does not fit",
      { kind: "change", fit: { A1: "s2" } },
      "fit.A1: found s2, a supply, in A1, expected a module there",
    ],
    [
      "a part that is not there",
      { kind: "change", fit: { A1: "m9" } },
      'fit.A1: found the part "m9", expected "m1", the nearest of 9 known',
    ],
    [
      "a part in two places",
      { kind: "change", fit: { A1: "m3", A2: "m3" } },
      "fit.A2: found m3, which also goes to A1, expected a part in one place only",
    ],
    [
      "a machine that is not there",
      { kind: "change", in: "d2" },
      'in: found the machine "d2", expected "d1", the nearest of 2 known',
    ],
    [
      "a setting's value that is not known",
      { kind: "change", settings: { speed: "fast" } },
      'settings.speed: found the value "fast", expected one of rated, standard',
    ],
  ])("%s", (_, entry, message) => expect(saidOf(entry)).toEqual([`entries[0].${message}`]));

  test("are all checked at once", () => {
    const faults = saidOf(
      starts({ outcome: "x" }),
      { kind: "note", text: "tea" },
      { kind: "repair", repair: "x" },
    );
    expect(faults.map((m) => m.slice(0, 10))).toEqual(["entries[0]", "entries[2]"]);
  });

  test("the minute of a voided run is nobody's concern", () => {
    expect(saidOf(starts({ outcome: "dead", minute: 90, voided: "kicked the plug" }))).toEqual([]);
  });

  test("a slot is looked at and mended at home only, and again once the machine is back", () => {
    const away = { kind: "change", in: "d1", fit: { A1: "m1" } };
    const look = { kind: "finding", finding: "dust", value: "dusty", on: "A2" };
    expect(saidOf(away, look)).toEqual([
      'entries[1].on: found "A2" while in d1, expected the ticket\'s own machine, whose positions are known',
    ]);
    expect(saidOf(away, { kind: "change", in: "own" }, look)).toEqual([]);
  });
});

test("faults of the machine are told before the record is looked at", () => {
  const broken = ticket([{ kind: "repair", id: "e", repair: "x" }]);
  expect(said({ ...broken, machine: { ...machine, settings: { sped: "rated" } } })).toHaveLength(1);
});

test("an entry of more starts than anybody makes is refused before it is weighed", () => {
  const trials = Array.from({ length: 11 }, () => ({ outcome: "clean", n: 10_000 }));
  expect(saidOf({ kind: "starts", trials })).toEqual([
    "entries[0].trials: found 110000 starts, expected at most 100000 in one entry",
  ]);
});
