import { describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { changed, classOf, conditionMinutes, exposureOf, fittedNow, insertions, intakeSetup, isFitted, setupKey, touchedContacts, viewOf, type Setup } from "../../engine/ticket/setup.js"; // prettier-ignore
import { catalog, template, ticket } from "../plan/small.js";
import { model } from "../plan/state.js";

const kiosk = model();
const intake = intakeSetup(kiosk);
const cause = (id: string, of = kiosk) => of.causes.find((c) => c.id === id)!;
const to = (...changes: Parameters<typeof changed>[1][]): Setup => changes.reduce(changed, intake);

describe("what is fitted where", () => {
  test("as it came in: parts in their positions, the others empty, settings at their defaults unless told", () => {
    const own = intakeSetup({ catalog, ticket: withMachine({ settings: { outlet: "wall" } }) });
    expect(own.fit).toEqual({ tray: "b1", socket: "p1", crown: "c1", A1: "m1", A2: "m2", bay: "s1" });
    expect(own.settings).toEqual({ speed: "rated", outlet: "wall" });
  });

  test("a part put somewhere leaves where it was", () => {
    expect(to({ fit: { A1: "m2" } }).fit).toMatchObject({ A1: "m2", A2: null });
  });

  test("two parts can change places at once", () => {
    expect(to({ fit: { A1: "m2", A2: "m1" } }).fit).toMatchObject({ A1: "m2", A2: "m1" });
  });

  test("a spare put in leaves the other part on the shelf, and a change changes nothing else", () => {
    expect(to({ fit: { bay: "s2" } })).toEqual({ ...intake, fit: { ...intake.fit, bay: "s2" } });
    expect(intake.fit["bay"]).toBe("s1");
  });

  test("in a donor a part has left its own machine, and comes back only where it is put", () => {
    const guest = to({ in: "d1", fit: { A1: "m1" } });
    expect(fittedNow(guest)).toEqual({ A1: "m1" });
    expect(guest.fit).toMatchObject({ A1: null, A2: "m2" });
    expect(changed(guest, { in: "own" }).fit).toMatchObject({ A1: null });
    expect(changed(guest, { in: "own", fit: { A1: "m1" } })).toEqual(intake);
  });

  test("a second part can follow into the donor that is in use; another donor starts afresh", () => {
    const guest = to({ in: "d1", fit: { A1: "m1" } }, { fit: { A2: "m2" } });
    expect(fittedNow(guest)).toEqual({ A1: "m1", A2: "m2" });
    expect(fittedNow(changed(guest, { in: "d2", fit: { A1: "m1" } }))).toEqual({ A1: "m1" });
  });

  test("the view of a setup is plain data with its conditions in minutes", () => {
    expect(viewOf(intake, kiosk)).toEqual({
      in: "own",
      fit: intake.fit,
      settings: intake.settings,
      conditions: { rest: 5, load: 0 },
    });
  });
});

describe("insertions", () => {
  const into = (before: Setup, ...changes: Parameters<typeof changed>[1][]) =>
    insertions(before, changes.reduce(changed, before), kiosk)
      .map((x) => `${x.part} in ${x.position}`)
      .sort();

  test("taking a part out inserts nothing", () => {
    expect(into(intake, { fit: { A1: null } })).toEqual([]);
  });

  test("a part moved is inserted once, two that change places are both", () => {
    expect(into(intake, { fit: { A2: null } }, { fit: { A2: "m1" } })).toEqual(["m1 in A2"]);
    expect(into(intake, { fit: { A1: "m2", A2: "m1" } })).toEqual(["m1 in A2", "m2 in A1"]);
  });

  test("a processor takes its cooler along, and a board all that it carries", () => {
    const bare = to({ fit: { socket: null } });
    expect(into(bare, { fit: { socket: "p1" } })).toEqual(["c1 in crown", "p1 in socket"]);
    expect(into(intake, { fit: { tray: "b2" } })).toEqual([
      "b2 in tray",
      "c1 in crown",
      "m1 in A1",
      "m2 in A2",
      "p1 in socket",
    ]);
  });

  test("in a donor only what is put into it is inserted, and on the way back only that", () => {
    const guest = to({ in: "d1", fit: { A1: "m1" } });
    expect(into(intake, { in: "d1", fit: { A1: "m1" } })).toEqual(["m1 in A1"]);
    expect(into(guest, { in: "own", fit: { A1: "m1" } })).toEqual(["m1 in A1"]);
    expect(into(guest, { in: "own" })).toEqual([]);
  });
});

describe("contacts that a change touches", () => {
  const touched = (...changes: Parameters<typeof changed>[1][]) =>
    touchedContacts(kiosk.causes, intake, to(...changes), kiosk).map((i) => kiosk.causes[i]!.id);

  test("inserting touches those of the part and of the position, and no others", () => {
    expect(touched({ fit: { A2: null, A1: "m2" } })).toEqual(["edge@m2", "slot-contact@b1.A1"]);
  });

  test("a spare touches its own, not those of the part it replaces", () => {
    expect(touched({ fit: { A1: "m3" } })).toEqual(["edge@m3", "slot-contact@b1.A1"]);
  });

  test("removing touches none", () => {
    expect(touched({ fit: { A1: null } })).toEqual([]);
  });

  test("another board: every part on it is put into that board's slots, not into the old one's", () => {
    expect(touched({ fit: { tray: "b2" } })).toEqual([
      "edge@m1",
      "edge@m2",
      "slot-contact@b2.A1",
      "slot-contact@b2.A2",
    ]);
  });

  test("replugging a setting touches what the catalog says, and only if it is changed", () => {
    expect(touched({ settings: { outlet: "wall" } })).toEqual(["cord"]);
    expect(touched({ settings: { outlet: "strip" } })).toEqual([]);
    expect(touched({ settings: { speed: "standard" } })).toEqual([]);
  });

  test("in a donor the part's own contact is touched, the slot at home is not", () => {
    expect(touched({ in: "d1", fit: { A1: "m1" } })).toEqual(["edge@m1"]);
  });

  test("the parts that stayed at home are not touched by the machine being used again", () => {
    const guest = to({ in: "d1", fit: { A1: "m1" } });
    const home = touchedContacts(
      kiosk.causes,
      guest,
      changed(guest, { in: "own", fit: { A1: "m1" } }),
      kiosk,
    );
    expect(home.map((i) => kiosk.causes[i]!.id)).toEqual(["edge@m1", "slot-contact@b1.A1"]);
  });
});

describe("which causes are fitted", () => {
  const fitted = (setup: Setup) => kiosk.causes.filter((c) => isFitted(c, setup)).map((c) => c.id);

  test("at home: those of fitted parts, of the fitted board's slots, and of the machine", () => {
    expect(fitted(intake)).toEqual([
      "tired-module@m1",
      "tired-module@m2",
      "edge@m1",
      "edge@m2",
      "slot-contact@b1.A1",
      "slot-contact@b1.A2",
      "weak-supply@s1",
      "cord",
    ]);
  });

  test("in a donor: those of the part that is tried, and the donor's own", () => {
    const catalogWith = {
      ...catalog,
      causes: [...catalog.causes, template("bad-donor", { per: "donor", spare: 0.03 })],
    };
    const own = model(ticket([], { catalog: catalogWith }));
    const guest = changed(intake, { in: "d1", fit: { A1: "m1" } });
    expect(own.causes.filter((c) => isFitted(c, guest)).map((c) => c.id)).toEqual([
      "tired-module@m1",
      "edge@m1",
      "bad-donor@d1",
    ]);
  });
});

describe("exposure", () => {
  const minutes = { rest: 5, load: 0 };
  const asking = (exposure: string, per: "machine" | { part: string } | { position: string } = "machine") => {
    const own = model(ticket([], { catalog: { ...catalog, causes: [template("x", { per, exposure })] } }));
    return (setup: Setup, at = minutes, nth = 0) => exposureOf(own.causes[nth]!, setup, at, own);
  };

  test("is 0 on the shelf and in an empty slot, whatever the expression says", () => {
    expect(exposureOf(cause("tired-module@m3"), intake, minutes, kiosk)).toBe(0);
    expect(exposureOf(cause("slot-contact@b1.A1"), to({ fit: { A1: null } }), minutes, kiosk)).toBe(0);
    expect(exposureOf(cause("slot-contact@b1.A1"), intake, minutes, kiosk)).toBe(1);
  });

  test("asks about settings and about classes of conditions", () => {
    const rated = asking('is("speed", "rated") + 10 * is("rest", "cold")');
    expect(rated(intake)).toBe(1);
    expect(rated(to({ settings: { speed: "standard" } }))).toBe(0);
    expect(rated(intake, { rest: 60, load: 0 })).toBe(11); // 60 minutes are where cold begins
    expect(rated(intake, { rest: 59, load: 0 })).toBe(1);
  });

  test("counts parts of a kind; a donor's own count where nothing of ours replaces them", () => {
    const count = asking('count("module")', { part: "module" });
    expect(count(intake)).toBe(2);
    expect(count(to({ fit: { A2: null } }))).toBe(1);
    expect(count(to({ in: "d1", fit: { A1: "m1" } }))).toBe(1); // ours in place of the donor's
    expect(count(to({ in: "d1", fit: { A2: "m1" } }))).toBe(2); // ours beside the donor's
  });

  test("knows where its own part sits and which positions are filled", () => {
    const place = asking('at("A1") + 10 * filled("A2")', { part: "module" });
    expect(place(intake)).toBe(11); // m1
    expect(place(intake, minutes, 1)).toBe(10); // m2
    expect(place(to({ fit: { A2: null } }))).toBe(1);
  });
});

describe("conditions", () => {
  test("the last layer that names one holds; a class stands for its typical minutes", () => {
    expect(conditionMinutes(catalog)).toEqual({ rest: 5, load: 0 });
    expect(conditionMinutes(catalog, { rest: "cold" }, undefined)).toEqual({ rest: 240, load: 0 });
    expect(conditionMinutes(catalog, { rest: "cold" }, { rest: 20, load: "soak" })).toEqual({
      rest: 20,
      load: 60,
    });
  });

  test("a class begins at its first minute", () => {
    const rest = catalog.conditions![0]!;
    expect([0, 59.9, 60, 1e6].map((m) => classOf(rest, m))).toEqual(["warm", "warm", "cold", "cold"]);
  });
});

describe("what tells one setup from another", () => {
  const key = (setup = intake, minutes: Record<string, number> = { rest: 5, load: 0 }, repairs = 0) =>
    setupKey(setup, minutes, repairs, kiosk);

  test("condition classes do, raw minutes do not", () => {
    expect(key(intake, { rest: 59, load: 3 })).toBe(key());
    expect(key(intake, { rest: 60, load: 3 })).not.toBe(key());
  });

  test("parts by position, settings, the machine in use and explicit repairs do", () => {
    const others = [
      key(to({ fit: { A1: "m2", A2: "m1" } })),
      key(to({ fit: { A2: null } })),
      key(to({ settings: { speed: "standard" } })),
      key(to({ in: "d1", fit: { A1: "m1" } })),
      key(intake, { rest: 5, load: 0 }, 1),
      key(),
    ];
    expect(new Set(others).size).toBe(others.length);
  });

  test("the way there does not: out and in again is the setup it was", () => {
    expect(key(to({ fit: { A1: null } }, { fit: { A1: "m1" } }))).toBe(key());
  });
});

function withMachine(machine: Partial<Ticket["machine"]>): Ticket {
  const own = ticket();
  return { ...own, machine: { ...own.machine, ...machine } };
}
