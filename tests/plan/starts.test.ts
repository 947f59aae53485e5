import { describe, expect, test } from "vitest";
import type { Change } from "../../engine/plan/candidates.js";
import { planOf } from "../../engine/plan/starts.js";
import { compileEntry } from "../../engine/belief/compile.js";
import type { TrialsStep } from "../../engine/belief/steps.js";
import type { Entry } from "../../engine/ticket/schema.js";
import { catalog, template, ticket } from "./small.js";
import { after } from "./state.js";

const state = after(ticket());
const { causes } = state.belief.model;
const named = (figures: ArrayLike<number>) =>
  Object.fromEntries(causes.flatMap((c, i) => (figures[i]! > 0 ? [[c.id, figures[i]!]] : [])));
const plan = (
  change: Change | null,
  repair: [string, string | null] | null = null,
  conditions: Record<string, string> = {},
) =>
  planOf(state, {
    kind: repair ? "repair" : "starts",
    change,
    repair: repair && { repair: catalog.repairs!.find((r) => r.id === repair[0])!, on: repair[1] },
    conditions,
  });

test("a start as it is clears nothing", () => expect(named(plan(null).efficacy)).toEqual({}));

test("a move reseats what it touches before the starts", () => {
  expect(named(plan({ fit: { A1: "m3" } }).efficacy)).toEqual({ "edge@m3": 0.8, "slot-contact@b1.A1": 0.5 });
});

test("a repair clears what it is made on; with a move after it, what neither cleared is left", () => {
  expect(named(plan(null, ["brush", "A1"]).efficacy)).toEqual({ "slot-contact@b1.A1": 0.9 });
  const both = named(plan({ fit: { A1: "m3" } }, ["brush", "A1"]).efficacy);
  expect(both["slot-contact@b1.A1"]).toBeCloseTo(1 - 0.1 * 0.5, 15);
});

describe("the record would say the same of it", () => {
  const entries = (...list: object[]) => list.map((e, k) => ({ id: `e${k}`, ...e }) as Entry);
  const trial = { kind: "starts", trials: [{ outcome: "clean" }] };
  test.each<[string, ReturnType<typeof plan>, Entry[], Entry]>([
    ["as it is", plan(null), [], entries(trial)[0]!],
    ["cold", plan(null, null, { rest: "cold" }), [], entries({ ...trial, conditions: { rest: "cold" } })[0]!],
    [
      "a spare in",
      plan({ fit: { A1: "m3" } }),
      entries({ kind: "change", fit: { A1: "m3" } }),
      entries(trial)[0]!,
    ],
    [
      "in the donor",
      plan({ in: "d1", fit: { A1: "m1" } }),
      entries({ kind: "change", in: "d1", fit: { A1: "m1" } }),
      entries(trial)[0]!,
    ],
    [
      "firmware loaded",
      plan(null, ["load-firmware", null]),
      entries({ kind: "repair", repair: "load-firmware" }),
      entries(trial)[0]!,
    ],
  ])("%s: exposures and what unlisted takes for the setup", (_, { exposure, key }, before, starts) => {
    const { belief, place } = after(ticket(before));
    const [step] = compileEntry(belief.model, place, starts).steps as TrialsStep[];
    expect(exposure).toEqual(step!.exposure);
    expect(key).toBe(step!.key);
  });
});

test("exposures are those of the conditions asked for", () => {
  const own = after(
    ticket([], {
      catalog: { ...catalog, causes: [template("x", { exposure: 'is("rest", "cold") ? 1 : 0.1' })] },
    }),
  );
  const at = (conditions: Record<string, string>) =>
    planOf(own, { kind: "starts", change: null, repair: null, conditions }).exposure[0];
  expect([at({}), at({ rest: "cold" })]).toEqual([0.1, 1]);
});
