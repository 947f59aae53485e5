import { expect, test } from "vitest";
import { dependencesOf } from "../../engine/ticket/dependence.js";
import { changed, intakeSetup } from "../../engine/ticket/setup.js";
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import { catalog as small, ticket } from "../explorer/small.js";

const cause = (id: string, per: CauseTemplate["per"], exposure: number | string): CauseTemplate => ({
  ...small.causes[0]!,
  id,
  per,
  exposure,
});
const catalog: Catalog = {
  ...small,
  settings: small.settings!.map((s) => ({ ...s, touches: ["lead"] })),
  causes: [
    cause("cells", { part: "module" }, 'is("speed", "rated") ? 2 : 0.5'),
    cause("lanes", "machine", 'filled("A2") * (count("supply") + 1)'),
    cause("cold", "machine", "rest / 60"),
    cause("lead", "machine", 1),
  ],
};
const bench = { catalog, ticket };
const depends = dependencesOf(catalog, ticket);
const of = (id: string, setup = intakeSetup(bench), conditions = {}) =>
  depends(setup, conditions).find((d) => d.cause === id)!;

test("a cause exercises as its exposure says, and not at all on the shelf", () => {
  expect(of("cells@m1").exposure).toBe(0.5);
  const rated = changed(intakeSetup(bench), { settings: { speed: "rated" } });
  expect(of("cells@m1", rated).exposure).toBe(2);
  expect(of("cells@m1", changed(rated, { fit: { A1: null } })).exposure).toBe(0);
  // an hour off is nominal, the two minutes of a warm start a thirtieth
  expect(of("cold", undefined, { rest: "cold" }).exposure).toBe(1);
  expect(of("cold").exposure).toBeCloseTo(2 / 60, 12);
});

test("what an exposure asks about is what it depends on", () => {
  expect(of("cells@m1")).toMatchObject({ settings: ["speed"], positions: [], conditions: [] });
  expect(of("lanes")).toMatchObject({ settings: [], positions: ["A2", "bay"], conditions: [] });
  expect(of("cold")).toMatchObject({ settings: [], positions: [], conditions: ["rest"] });
});

test("a setting whose change replugs a cause is one that it depends on", () => {
  expect(of("lead").settings).toEqual(["speed"]);
});
