import { describe, expect, test } from "vitest";
import type { LeaveStep, LookStep, Step, TrialsStep } from "../../engine/belief/steps.js";
import { compileEntry, heldFinding, intakePlace, type Place } from "../../engine/belief/compile.js";
import type { Entry } from "../../engine/ticket/schema.js";
import { catalog, template, ticket } from "../plan/small.js";
import { model } from "../plan/state.js";

const kiosk = model();
type Unnamed = Entry extends infer E ? (E extends Entry ? Omit<E, "id"> : never) : never;
const entry = (of: Unnamed): Entry => ({ id: "e", ...of }) as Entry;

/** Where some entries lead. */
const placeAfter = (...entries: Unnamed[]): Place =>
  entries.reduce((place, e) => compileEntry(kiosk, place, entry(e)).place, intakePlace(kiosk));

const steps = (of: Unnamed, ...before: Unnamed[]): Step[] =>
  compileEntry(kiosk, placeAfter(...before), entry(of)).steps;
const trials = (...of: Parameters<typeof steps>) => steps(...of) as TrialsStep[];

/** Causes of a figure above 0, by name. */
const named = (figures: ArrayLike<number>) =>
  Object.fromEntries(kiosk.causes.flatMap((c, i) => (figures[i]! > 0 ? [[c.id, figures[i]!]] : [])));
const cleared = ([step]: Step[]) => named((step as LeaveStep).efficacy);
const tied = ([step]: Step[]) => Object.keys(named((step as LookStep).tied));

describe("starts", () => {
  const rows = (...list: object[]) =>
    trials({ kind: "starts", trials: list } as Unnamed)[0]!.rows.map((r) => [[...r.wanted].join(""), r.n]);

  test("those of one outcome are one row, in the order they first occur", () => {
    expect(rows({ outcome: "clean" }, { outcome: "dead", n: 2 }, { outcome: "clean", n: 3 })).toEqual([
      ["001", 4],
      ["100", 2],
    ]);
  });

  test("one that was only partly seen may have been any of its outcomes", () => {
    expect(rows({ outcome: ["memory", "dead"] })).toEqual([["110", 1]]);
  });

  test("a voided one weighs nothing", () => {
    expect(rows({ outcome: "clean" }, { outcome: "dead", n: 9, voided: "bumped the bench" })).toEqual([
      ["001", 1],
    ]);
    expect(steps({ kind: "starts", trials: [{ outcome: "dead", voided: "bumped the bench" }] })).toEqual([]);
  });

  test("the owner's word has half the weight, unless another trust is stated", () => {
    const trust = (more: object) =>
      trials({ kind: "starts", trials: [{ outcome: "dead" }], ...more } as Unnamed)[0]!.trust;
    expect([
      trust({}),
      trust({ by: "bench" }),
      trust({ by: "owner" }),
      trust({ by: "owner", trust: 0.8 }),
      trust({ trust: 0.9 }),
    ]).toEqual([1, 1, 0.5, 0.8, 0.9]);
  });

  test("under load: a clean run had the planned minutes, one that stopped had those it ran, in one setup", () => {
    const own = model(
      ticket([], { catalog: { ...catalog, causes: [template("heat", { exposure: "load / 60" })] } }),
    );
    const run = entry({
      kind: "starts",
      conditions: { load: "soak" }, // 60 minutes
      trials: [
        { outcome: "clean" },
        { outcome: "dead", minute: 15 },
        { outcome: "dead", minute: 45 },
        { outcome: "memory", minute: 15 },
      ],
    });
    const compiled = compileEntry(own, intakePlace(own), run).steps as TrialsStep[];
    expect(compiled.map((s) => [s.exposure[0], s.rows.length])).toEqual([
      [1, 1],
      [0.25, 2],
      [0.75, 1],
    ]);
    expect(new Set(compiled.map((s) => s.key)).size).toBe(1);
  });
});

describe("a finding", () => {
  const dust = (on: string, value = "dusty"): Unnamed => ({ kind: "finding", finding: "dust", on, value });
  const smell: Unnamed = { kind: "finding", finding: "smell", value: "none" };
  const swap: Unnamed = { kind: "change", fit: { bay: "s2" } };

  test("counts once: again it adds nothing", () => {
    expect(steps(dust("A1"))).toHaveLength(1);
    expect(steps(dust("A1"), dust("A1"))).toEqual([]);
    expect(steps(dust("A2"), dust("A1"))).toHaveLength(1);
  });

  test.each<[string, Unnamed]>([
    ["a part put into it", { kind: "change", fit: { A1: "m3" } }],
    ["the part taken out of it", { kind: "change", fit: { A1: null } }],
    ["a repair of it", { kind: "repair", repair: "brush", on: "A1" }],
    // slot A1 is then another board's
    ["another board", { kind: "change", fit: { tray: "b2" } }],
  ])("on a slot counts again after %s", (_, disturbance) => {
    expect(steps(dust("A1"), dust("A1"), disturbance)).toHaveLength(1);
  });

  test.each<[string, Unnamed]>([
    ["a change elsewhere", swap],
    ["a repair of the other slot", { kind: "repair", repair: "brush", on: "A2" }],
    ["starts", { kind: "starts", trials: [{ outcome: "dead" }] }],
    ["a setting", { kind: "change", settings: { speed: "standard" } }],
  ])("on a slot still holds after %s", (_, meanwhile) => {
    expect(steps(dust("A1"), dust("A1"), meanwhile)).toEqual([]);
  });

  test("on the machine counts again after any change or repair", () => {
    expect(steps(smell, smell)).toEqual([]);
    expect(steps(smell, smell, swap)).toHaveLength(1);
    expect(steps(smell, smell, { kind: "repair", repair: "brush", on: "A2" })).toHaveLength(1);
  });

  test("says what it found before, for as long as it holds", () => {
    const again = entry(dust("A1", "clean")) as Extract<Entry, { kind: "finding" }>;
    expect(heldFinding(placeAfter(dust("A1")), again)).toBe("dusty");
    expect(
      heldFinding(placeAfter(dust("A1"), { kind: "repair", repair: "brush", on: "A1" }), again),
    ).toBeUndefined();
  });

  test("concerns the causes of what was looked at that have an effect on it", () => {
    expect(tied(steps(dust("A1")))).toEqual(["slot-contact@b1.A1"]);
    expect(tied(steps(dust("A1"), { kind: "change", fit: { tray: "b2" } }))).toEqual(["slot-contact@b2.A1"]);
  });

  test("on the machine concerns what is fitted at that moment", () => {
    expect(tied(steps(smell))).toEqual(["weak-supply@s1"]);
    expect(tied(steps(smell, swap))).toEqual(["weak-supply@s2"]);
  });

  test("has the chance of its value: base 0.1, and 0.6 by a dirty slot", () => {
    const [step] = steps(dust("A1")) as LookStep[];
    const slot = kiosk.causes.findIndex((c) => c.id === "slot-contact@b1.A1");
    expect(Math.exp(step!.logLikelihood([]))).toBeCloseTo(0.1, 15);
    expect(Math.exp(step!.logLikelihood([slot]))).toBeCloseTo(1 - 0.9 * 0.4, 15); // neither brings it up
    expect(Math.exp(step!.logUnlisted)).toBeCloseTo(0.5 * 0.1 + 0.5 / 2, 15);
  });
});

describe("a reading", () => {
  const rail = (on: string, value: number | string): Unnamed => ({
    kind: "reading",
    reading: "rail",
    on,
    value,
  });
  const density = (x: number, mean: number, sd: number) =>
    Math.exp(-0.5 * ((x - mean) / sd) ** 2) / (sd * Math.sqrt(2 * Math.PI));

  test("of a supply concerns that supply, fitted or not", () => {
    expect(tied(steps(rail("s1", 5)))).toEqual(["weak-supply@s1"]);
    expect(tied(steps(rail("s2", 5)))).toEqual(["weak-supply@s2"]);
  });

  test("counts as often as it is made, in whatever unit it is written", () => {
    const [volts] = steps(rail("s1", 4.81)) as LookStep[];
    const [again] = steps(rail("s1", "4810 mV"), rail("s1", 4.81)) as LookStep[];
    expect(again!.logLikelihood([])).toBeCloseTo(volts!.logLikelihood([]), 12);
  });

  test("is healthy, shifted half the time by a weak supply, or one time in a hundred a slip anywhere from 0 to 20 V", () => {
    const [step] = steps(rail("s1", 4.8)) as LookStep[];
    const supply = kiosk.causes.findIndex((c) => c.id === "weak-supply@s1");
    const [healthy, weak] = [density(4.8, 5, 0.05), density(4.8, 4.6, 0.1)];
    expect(Math.exp(step!.logLikelihood([])) / (0.99 * healthy + 0.01 / 20)).toBeCloseTo(1, 12);
    expect(
      Math.exp(step!.logLikelihood([supply])) / (0.99 * (0.5 * healthy + 0.5 * weak) + 0.01 / 20),
    ).toBeCloseTo(1, 12);
    expect(Math.exp(step!.logUnlisted) / (0.5 * (0.99 * healthy + 0.01 / 20) + 0.5 / 20)).toBeCloseTo(1, 12);
  });
});

describe("changes and repairs", () => {
  test("a change reseats what it touches, once each, and then holds", () => {
    const moved: Unnamed = { kind: "change", fit: { A1: "m2", A2: null } };
    expect(cleared(steps(moved))).toEqual({ "edge@m2": 0.8, "slot-contact@b1.A1": 0.5 });
    expect(placeAfter(moved).setup.fit).toMatchObject({ A1: "m2", A2: null });
  });

  test("a change that touches no contact is no step, and neither is a word", () => {
    expect(steps({ kind: "change", fit: { A1: null } })).toEqual([]);
    const words: Unnamed[] = [
      { kind: "intake" },
      { kind: "note", text: "tea" },
      { kind: "worksheet", expression: "1 + 1" },
      { kind: "release" },
    ];
    for (const word of words)
      expect(compileEntry(kiosk, placeAfter(), entry(word))).toEqual({ steps: [], place: placeAfter() });
  });

  test("a repair clears what it is made on, in the board that is fitted", () => {
    const brush: Unnamed = { kind: "repair", repair: "brush", on: "A1" };
    expect(cleared(steps(brush))).toEqual({ "slot-contact@b1.A1": 0.9 });
    expect(cleared(steps(brush, { kind: "change", fit: { tray: "b2" } }))).toEqual({
      "slot-contact@b2.A1": 0.9,
    });
  });

  test("repairs are counted, and leave the settings they set", () => {
    const load: Unnamed = { kind: "repair", repair: "load-firmware" };
    expect(placeAfter(load, load)).toMatchObject({
      repairs: 2,
      setup: { settings: { speed: "standard", outlet: "strip" } },
    });
    expect(placeAfter({ kind: "change", fit: { A1: null } }).repairs).toBe(0);
  });
});
