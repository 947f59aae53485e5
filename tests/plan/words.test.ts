import { describe, expect, test } from "vitest";
import type { Candidate, Change } from "../../engine/plan/candidates.js";
import { changeWords, outcomeWords, partName, titleOf } from "../../engine/plan/words.js";
import { intakeSetup } from "../../engine/ticket/setup.js";
import { catalog, ticket } from "./small.js";
import { after } from "./state.js";

const { belief, place } = after(ticket());
const { model } = belief;

describe("changes", () => {
  test.each<[Change, string]>([
    [{ fit: { bay: "s2" } }, "Put supply s2 in place of supply s1"],
    [{ fit: { A2: null } }, "Take module m2 out"],
    [{ fit: { A1: null, A2: null } }, "Take module m1 out, take module m2 out"],
    [{ fit: { A1: "m2", A2: "m1" } }, "Put module m2 in slot A1, put module m1 in slot A2"],
    [{ settings: { speed: "standard" } }, "Set speed to standard"],
    [{ fit: { A2: null }, settings: { outlet: "wall" } }, "Take module m2 out, set outlet to wall"],
    [{ in: "d1", fit: { A1: "m1" } }, "Put module m1 in slot A1 in d1"],
  ])("%j: %s", (change, words) => expect(changeWords(model, place.setup, change)).toBe(words));

  test("home from the donor", () => {
    const away = after(ticket([{ kind: "change", id: "c", in: "d1", fit: { A1: "m1" } }])).place.setup;
    expect(changeWords(model, away, { in: "own", fit: { A1: "m1" } })).toBe(
      "Put module m1 in slot A1 back in its own machine",
    );
  });
});

describe("a test in one sentence", () => {
  const starts = (change: Change | null, conditions: Record<string, string> = {}): Candidate => ({
    kind: "starts",
    change,
    repair: null,
    conditions,
  });
  test.each<[Candidate, number, string]>([
    [starts(null), 1, "Start it once, as it is."],
    [starts(null, { rest: "cold" }), 2, "Start it cold, twice, as it is."],
    [starts({ fit: { A2: null } }), 4, "Take module m2 out and start it 4 times."],
    [
      { kind: "repair", change: null, repair: { repair: catalog.repairs![0]!, on: "A1" }, conditions: {} },
      3,
      "brush the slot · slot A1, then start it 3 times.",
    ],
    [{ kind: "finding", finding: catalog.findings![0]!, on: "A2" }, 1, "Check slot A2: dust in the slot."],
    [{ kind: "reading", reading: catalog.readings![0]!, on: "s1" }, 1, "Read the 5 V rail · supply s1."],
  ])("%#: %s", (candidate, n, sentence) =>
    expect(titleOf(model, intakeSetup(model), candidate, n)).toBe(sentence),
  );
});

test("with the switch out it is said how else the machine is started", () => {
  const positions = catalog.positions.map((p) => (p.id === "A2" ? { ...p, without: "by its two pins" } : p));
  const own = { ...model, catalog: { ...catalog, positions } };
  const out: Candidate = { kind: "starts", change: { fit: { A2: null } }, repair: null, conditions: {} };
  expect(titleOf(own, intakeSetup(model), out, 2)).toBe(
    "Take module m2 out and start it twice, by its two pins.",
  );
  const asItIs: Candidate = { kind: "starts", change: null, repair: null, conditions: {} };
  expect(titleOf(own, intakeSetup(model), asItIs, 1)).toBe("Start it once, as it is.");
});

test("a part has its own name, else its kind's and its id; a position its own; what is unknown its id", () => {
  const named = {
    ...ticket(),
    machine: { ...ticket().machine, parts: [{ id: "m1", kind: "module", name: "the old module" }] },
  };
  expect(partName(after(named).belief.model, "m1")).toBe("the old module");
  expect(["m2", "A1", "x"].map((id) => partName(model, id))).toEqual(["module m2", "slot A1", "x"]);
});

test("an outcome is its stage's name, or clean", () => {
  expect(["dead", "clean", "x"].map((id) => outcomeWords(model, id))).toEqual(["dead", "clean", "x"]);
});
