import { describe, expect, test } from "vitest";
import { chanceOf, expand, signatureOf, type Cause } from "../../engine/catalog/expand.js";
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import type { Machine } from "../../engine/ticket/schema.js";
import { createWeigher } from "../../engine/weigh.js";
import { catalog as kiosk, template, ticket as kioskTicket } from "../plan/small.js";

/** The kiosk with other causes and another history. */
function expanded(causes: CauseTemplate[], machine: Partial<Machine> = {}, more: Partial<Catalog> = {}) {
  const catalog = { ...kiosk, causes, ...more };
  const ticket = kioskTicket([], { catalog });
  return expand(catalog, { ...ticket, machine: { ...ticket.machine, ...machine } });
}

const chances = (causes: readonly Cause[]) => Object.fromEntries(causes.map((c) => [c.id, c.chance]));
const chance = (...of: Parameters<typeof expanded>) => expanded(...of).causes[0]!.chance;

describe("the chance that a fault arose in the look-back window", () => {
  test("at a constant rate: 4 %/year over the last quarter of a year", () => {
    // 1 − exp(−0.04 · 0.25) = 1 − exp(−0.01)
    expect(chance([template("x", { rate: 0.04 })])).toBeCloseTo(1 - Math.exp(-0.01), 15);
  });

  test("of a machine younger than the window: only since it was made", () => {
    // 1 − exp(−0.04 · 0.1)
    expect(chance([template("x", { rate: 0.04 })], { ageYears: 0.1 })).toBeCloseTo(1 - Math.exp(-0.004), 15);
  });

  test("with a window of the catalog's own", () => {
    expect(chance([template("x", { rate: 0.04 })], {}, { windowYears: 2 })).toBeCloseTo(
      1 - Math.exp(-0.08),
      15,
    );
  });

  test("with wear, shape 2: H(A) = (λ Γ(3/2) A)², and Γ(3/2) = √π / 2", () => {
    // λ = 0.1, A = 3, W = 1/4: H(3) − H(2.75) = 0.01 · (π/4) · (9 − 7.5625) = 0.0112900…
    const increment = 0.01 * (Math.PI / 4) * 1.4375;
    expect(chance([template("x", { rate: 0.1, shape: 2 })])).toBeCloseTo(1 - Math.exp(-increment), 15);
  });

  test("with infant mortality, shape 1/2: H(A) = √(λ Γ(3) A), and Γ(3) = 2", () => {
    // λ = 0.1, A = 3: √0.6 − √0.55
    expect(chance([template("x", { rate: 0.1, shape: 0.5 })])).toBeCloseTo(
      1 - Math.exp(-(Math.sqrt(0.6) - Math.sqrt(0.55))),
      15,
    );
  });

  test("a part has an age of its own", () => {
    const wear = template("x", { per: { part: "supply" }, rate: 0.1, shape: 2 });
    const parts = [
      { id: "old", kind: "supply", position: "bay", ageYears: 8 },
      { id: "same", kind: "supply" },
    ];
    // A = 8: 64 − 7.75² = 3.9375; A = 3, the machine's: 9 − 2.75² = 1.4375
    const p = chances(expanded([wear], { parts }).causes);
    expect(p["x@old"]).toBeCloseTo(1 - Math.exp(-0.01 * (Math.PI / 4) * 3.9375), 15);
    expect(p["x@same"]).toBeCloseTo(1 - Math.exp(-0.01 * (Math.PI / 4) * 1.4375), 15);
  });
});

describe("events", () => {
  const storm = { id: "storm", name: "storm", windowYears: 0.1 };
  const both = template("x", { rate: 0.04, events: { moved: 0.1, storm: 0.2 } });
  const after = (...events: { event: string; yearsBefore: number }[]) =>
    chance([both], { events }, { events: [...kiosk.events!, storm] });
  const none = Math.exp(-0.01); // chance that age alone did not bring it in

  test.each([
    ["none", [], none],
    ["one inside its window of half a year", [{ event: "moved", yearsBefore: 0.4 }], none * 0.9],
    ["one at the very edge", [{ event: "moved", yearsBefore: 0.5 }], none * 0.9],
    ["one outside", [{ event: "moved", yearsBefore: 0.51 }], none],
    [
      "two, each with its own window",
      [
        { event: "moved", yearsBefore: 0.2 },
        { event: "storm", yearsBefore: 0.2 },
      ],
      none * 0.9,
    ],
    [
      "two inside",
      [
        { event: "moved", yearsBefore: 0.2 },
        { event: "storm", yearsBefore: 0.05 },
      ],
      none * 0.9 * 0.8,
    ],
  ])("%s", (_, events, absent) => {
    expect(after(...events)).toBeCloseTo(1 - absent, 15);
  });

  test("an event that does not concern a cause adds nothing to it", () => {
    expect(
      chance([template("x", { rate: 0.04 })], { events: [{ event: "moved", yearsBefore: 0 }] }),
    ).toBeCloseTo(1 - none, 15);
  });

  test("an event alone brings a cause in", () => {
    const { rate: _, ...ageless } = template("x", { events: { moved: 0.1 } });
    expect(chance([ageless], { events: [{ event: "moved", yearsBefore: 0 }] })).toBeCloseTo(0.1, 15);
  });
});

describe("where a template becomes a cause", () => {
  test("once for the machine, for each part of its kind wherever it lies, for each donor", () => {
    const { causes } = expanded([
      template("cord"),
      template("tired", { per: { part: "module" } }),
      template("bad", { per: "donor", spare: 0.03 }),
    ]);
    expect(causes.map((c) => c.id)).toEqual(["cord", "tired@m1", "tired@m2", "tired@m3", "bad@d1"]);
    expect(causes.map((c) => [c.part, c.position, c.donor])).toEqual([
      [null, null, null],
      ["m1", null, null],
      ["m2", null, null],
      ["m3", null, null],
      [null, null, "d1"],
    ]);
  });

  test("for each position on each part that carries it, with the carrier's age", () => {
    const { causes } = expanded([template("slot", { per: { position: "slot" }, rate: 0.1, shape: 2 })], {
      parts: [
        { id: "b1", kind: "board", position: "tray" },
        { id: "b2", kind: "board", ageYears: 8 },
      ],
    });
    expect(causes.map((c) => [c.id, c.part, c.position])).toEqual([
      ["slot@b1.A1", "b1", "A1"],
      ["slot@b2.A1", "b2", "A1"],
      ["slot@b1.A2", "b1", "A2"],
      ["slot@b2.A2", "b2", "A2"],
    ]);
    expect(causes[1]!.chance / causes[0]!.chance).toBeGreaterThan(2.5); // 3.9375 against 1.4375
  });

  test("once for a position that nothing carries", () => {
    expect(
      expanded([template("plug", { per: { position: "bay" } })]).causes.map((c) => [c.id, c.part]),
    ).toEqual([["plug@bay", null]]);
  });

  test("names say which part and where", () => {
    const { causes } = expanded([template("slot", { name: "Tired slot", per: { position: "slot" } })], {
      parts: [{ id: "b1", kind: "board", name: "the old board", position: "tray" }],
    });
    expect(causes.map((c) => c.name)).toEqual([
      "Tired slot · slot A1, the old board",
      "Tired slot · slot A2, the old board",
    ]);
  });

  test("causes of the ticket's own stand after the catalog's", () => {
    const ticket = kioskTicket([], {
      causes: [template("stand-off", { name: "a stand-off under the board" })],
    });
    expect(expand(kiosk, ticket).causes.at(-1)!.id).toBe("stand-off");
  });
});

describe("spares and donors", () => {
  const supply = template("weak", {
    per: { part: "supply" },
    rate: 0.04,
    spare: 0.02,
    events: { moved: 0.5 },
  });
  const moved = [{ event: "moved", yearsBefore: 0 }];

  test("a spare believed good has the catalog's chance, whatever its age and the machine's history", () => {
    const p = chances(expanded([supply], { events: moved }).causes);
    expect(p["weak@s2"]).toBe(0.02);
    expect(p["weak@s1"]).toBeCloseTo(1 - Math.exp(-0.01) * 0.5, 15);
  });

  test("a part on the shelf that nobody vouches for has its own rate", () => {
    const p = chances(expanded([template("tired", { per: { part: "module" } })]).causes);
    expect(p["tired@m3"]).toBe(p["tired@m1"]);
  });

  test("what has no chance is dropped: a spare that no template doubts, a rate of 0, an event that was not", () => {
    const { spare: _, ...vouched } = supply;
    const { rate: __, ...eventOnly } = template("shaken", { events: { moved: 0.5 } });
    const ids = expanded([vouched, template("never", { rate: 0 }), eventOnly]).causes.map((c) => c.id);
    expect(ids).toEqual(["weak@s1"]);
  });
});

describe("parameters", () => {
  test("one for each figure of a template, shared by all its causes", () => {
    const { parameters, causes } = expanded([
      template("tired", { per: { part: "module" }, rate: { value: 0.04, knowledge: 3 } }),
      template("weak", { per: { part: "supply" }, spare: { alpha: 1, beta: 49 }, events: { moved: 0.5 } }),
    ], { events: [{ event: "moved", yearsBefore: 0 }] }); // prettier-ignore
    expect(parameters.map((p) => [p.name, p.kind])).toEqual([
      ["tired.rate", "rate"],
      ["weak.events.moved", "chance"],
      ["weak.rate", "rate"],
      ["weak.spare", "chance"],
    ]);
    const drawn = Float64Array.of(0.08, 0.25, 0.04, 0.1);
    const p = Object.fromEntries(causes.map((c) => [c.id, chanceOf(c.recipe, drawn)]));
    for (const id of ["m1", "m2", "m3"]) expect(p[`tired@${id}`]).toBeCloseTo(1 - Math.exp(-0.02), 15);
    expect(p["weak@s1"]).toBeCloseTo(1 - Math.exp(-0.01) * 0.75, 15);
    expect(p["weak@s2"]).toBeCloseTo(0.1, 15);
  });
});

test("a contact without a figure for reseating cannot be reseated, and what is no contact never is", () => {
  const reseat = (more: Partial<CauseTemplate>) => expanded([template("x", more)]).causes[0]!.reseat;
  expect(reseat({ contact: true, reseat: { value: 0.7 } })).toBe(0.7);
  expect(reseat({ contact: true })).toBe(0);
  expect(reseat({ reseat: 0.7 })).toBe(0);
});

test("a signature names its stages; the others have chance 0", () => {
  expect([...signatureOf({ memory: 1 }, kiosk)]).toEqual([0, 1]);
  expect([...signatureOf({ dead: 0.3, memory: 0.7 }, kiosk)]).toEqual([0.3, 0.7]);
});

// p = 1 has infinite odds: it must be named as the fault it is, not come out as a record that nothing allows
test.each([
  ["an event certain to bring it in", { events: { moved: 1 } }],
  ["a rate that leaves no doubt", { rate: 1e6 }],
])("a chance of 1 is refused, and where: %s", (_, more) => {
  const catalog = { ...kiosk, causes: [...kiosk.causes, template("sure", more)] };
  const ticket = kioskTicket([{ kind: "starts", id: "e", trials: [{ outcome: "clean" }] }], { catalog });
  const moved = { ...ticket, machine: { ...ticket.machine, events: [{ event: "moved", yearsBefore: 0 }] } };
  expect(createWeigher(catalog).weigh(moved, { advice: false })).toMatchObject({
    issues: [{ path: expect.stringMatching(/causes|sure/) as string }],
  });
});
