import { describe, expect, test } from "vitest";
import { checkCatalog } from "../../engine/ticket/checkCatalog.js";
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import { catalog, template } from "../plan/small.js";

const said = (changes: Partial<Catalog>): string[] =>
  checkCatalog({ ...catalog, ...changes }, "").map((x) => x.message);

/** One more cause, which is the sixth. */
const saidOfCause = (more: Partial<CauseTemplate>) =>
  said({ causes: [...catalog.causes, template("more", more)] }).map((m) => m.replace(/^causes\[5\]\./, ""));

const first = <T>(list: readonly T[] | undefined, changes: Partial<T>): T[] => [
  { ...list![0]!, ...changes },
  ...list!.slice(1),
];

test("the kiosk has no fault", () => expect(said({})).toEqual([]));

test("paths stand under the root they are given", () => {
  const { path, message } = checkCatalog({ ...catalog, unlisted: 2 }, "catalog")[0]!;
  expect(path).toBe("catalog.unlisted");
  expect(message).toBe(
    "catalog.unlisted: found 0.1 + 2, above 1, expected nothingWrong + unlisted of at most 1",
  );
});

describe("a cause", () => {
  test.each<[string, Partial<CauseTemplate>, string]>([
    [
      "of a part kind that is not known",
      { per: { part: "modul" } },
      'per.part: found the part kind "modul", expected "module", the nearest of 5 known',
    ],
    [
      "of a position kind that is not known",
      { per: { position: "slots" } },
      'per.position: found the position kind "slots", expected "slot", the nearest of 5 known',
    ],
    [
      "that shows at no stage there is",
      { signature: { memroy: 1 } },
      'signature.memroy: found the stage "memroy", expected "memory", the nearest of 2 known',
    ],
    [
      "whose signature is short",
      { signature: { dead: 0.5, memory: 0.4 } },
      "signature: found chances that add up to 0.9, expected a sum of 1",
    ],
    [
      "of an event that is not known",
      { events: { move: 0.1 } },
      'events.move: found the event "move", expected "moved", the nearest of 1 known',
    ],
    [
      "that is a contact nobody can reseat",
      { contact: true },
      "reseat: found nothing, expected the efficacy of reseating, as it is a contact",
    ],
    [
      "that asks for a value that is not known",
      { exposure: 'is("speed", "fast")' },
      'exposure: found the value "fast", expected one of rated, standard',
    ],
    [
      "that asks for a class that is not known",
      { exposure: 'is("rest", "cool")' },
      'exposure: found the value "cool", expected "cold", the nearest of 2 known',
    ],
    [
      "that asks for a setting that is not known",
      { exposure: 'is("sped", "rated")' },
      'exposure: found the setting or condition "sped", expected "speed", the nearest of 4 known',
    ],
    [
      "that counts what there is not",
      { exposure: 'count("modules")' },
      'exposure: found the part kind "modules", expected "module", the nearest of 5 known',
    ],
    [
      "that asks for a position there is not",
      { exposure: 'at("A3") + filled("A1")' },
      'exposure: found the position "A3", expected "A1", the nearest of 6 known',
    ],
  ])("%s", (_, more, message) => expect(saidOfCause(more)).toEqual([message]));

  test("whose exposure is no expression says why", () => {
    expect(saidOfCause({ exposure: "(rest" })[0]).toMatch(
      /^exposure: found "\(rest" \(.+\), expected an expression that can be weighed$/,
    );
    expect(saidOfCause({ exposure: "damp / 2" })[0]).toContain(
      "found the name damp, expected a condition (rest, load)",
    );
  });
});

describe("stages, parts, positions, settings", () => {
  test.each<[string, Partial<Catalog>, string]>([
    [
      "a stage named clean",
      { stages: [...catalog.stages, { id: "clean", name: "clean" }] },
      'stages: found a stage named "clean", expected stages only: clean comes after the last',
    ],
    [
      "a stage twice",
      { stages: [...catalog.stages, { id: "dead", name: "dead" }] },
      'stages[2].id: found "dead" a second time, expected an id of its own',
    ],
    [
      "a leak that ends nowhere",
      { leak: { chance: 0.1, signature: {} } },
      "leak.signature: found chances that add up to 0, expected a sum of 1",
    ],
    [
      "a position for no part",
      { positions: first(catalog.positions, { accepts: "bord" }) },
      'positions[0].accepts: found the part kind "bord", expected "board", the nearest of 5 known',
    ],
    [
      "a position on no part",
      { positions: first(catalog.positions, { on: "bord" }) },
      'positions[0].on: found the part kind "bord", expected "board", the nearest of 5 known',
    ],
    [
      "a caution that is not written",
      { parts: first(catalog.parts, { cautions: ["mains"] }) },
      'parts[0].cautions[0]: found the caution "mains", expected one of none here',
    ],
    [
      "a default that is no value",
      { settings: first(catalog.settings, { default: "fast" }) },
      'settings[0].default: found the value "fast", expected one of rated, standard',
    ],
    [
      "a setting that touches nothing known",
      { settings: first(catalog.settings, { touches: ["crod"] }) },
      'settings[0].touches[0]: found the cause "crod", expected "cord", the nearest of 5 known',
    ],
    [
      "a usual part of no kind",
      { machine: { parts: [{ id: "x", kind: "modul", position: "A1" }] } },
      'machine.parts[0].kind: found the part kind "modul", expected "module", the nearest of 5 known',
    ],
  ])("%s", (_, changes, message) => expect(said(changes)).toEqual([message]));
});

describe("conditions", () => {
  const classes = (...list: [from: number, typical: number][]) =>
    said({
      conditions: [
        ...catalog.conditions!,
        {
          id: "damp",
          name: "damp",
          default: "c0",
          classes: list.map(([from, typical], k) => ({ id: `c${k}`, name: "c", from, typical })),
        },
      ],
    }).map((m) => m.replace(/^conditions\[2\]\./, ""));

  test("begin at 0 minutes, rise, and have their typical minutes inside", () => {
    expect(classes([0, 1], [10, 20])).toEqual([]);
    expect(classes([5, 6])).toEqual(["classes[0].from: found 5, expected 0"]);
    expect(classes([0, 1], [10, 20], [10, 20])).toEqual([
      "classes[2].from: found 10, expected more than 10",
      "classes[1].typical: found 20, expected minutes from 10 to below 10",
    ]);
    expect(classes([0, 10], [10, 20])).toEqual([
      "classes[0].typical: found 10, expected minutes from 0 to below 10",
    ]);
  });

  test.each(["is", "min", "and", "cold-start", "2nd"])(
    "cannot be named %s, which an exposure could not use",
    (id) => {
      expect(said({ conditions: first(catalog.conditions, { id }) })[0]).toMatch(
        /^conditions\[0\]\.id: found ".+", expected a name that an exposure can use/,
      );
    },
  );
});

describe("findings, readings, repairs", () => {
  test.each<[string, Partial<Catalog>, string]>([
    [
      "a value that no machine shows",
      { findings: first(catalog.findings, { base: {} }) },
      "findings[0].base.dusty: found nothing, expected a chance above 0",
    ],
    [
      "a value that no machine ever shows",
      { findings: first(catalog.findings, { base: { dusty: 0 } }) },
      "findings[0].base.dusty: found 0, expected a chance above 0",
    ],
    [
      "an effect of no known cause",
      { findings: first(catalog.findings, { causes: { rust: { dusty: 1 } } }) },
      'findings[0].causes.rust: found the cause "rust", expected one of tired-module, edge, slot-contact, weak-supply, cord',
    ],
    [
      "an effect on the last value, which is what is left",
      { findings: first(catalog.findings, { causes: { cord: { clean: 0.5 } } }) },
      'findings[0].causes.cord.clean: found the value "clean", expected one of dusty',
    ],
    [
      "a finding on no known kind",
      { findings: first(catalog.findings, { on: { part: "bord" } }) },
      'findings[0].on.part: found the part kind "bord", expected "board", the nearest of 5 known',
    ],
    [
      "a range turned round",
      { readings: first(catalog.readings, { range: [20, 0] }) },
      "readings[0].range: found [20, 0], expected a lower and a higher number",
    ],
    [
      "a shift by no known cause",
      { readings: first(catalog.readings, { causes: { rust: { mean: 1, sd: 1, chance: 1 } } }) },
      'readings[0].causes.rust: found the cause "rust", expected one of tired-module, edge, slot-contact, weak-supply, cord',
    ],
    [
      "a repair of no known cause",
      { repairs: first(catalog.repairs, { clears: { cords: 1 } }) },
      'repairs[0].clears.cords: found the cause "cords", expected "cord", the nearest of 5 known',
    ],
    [
      "a repair that leaves no known setting",
      { repairs: first(catalog.repairs, { sets: { speed: "fast" } }) },
      'repairs[0].sets.speed: found the value "fast", expected one of rated, standard',
    ],
    [
      "a repair that needs no known stage",
      { repairs: first(catalog.repairs, { needs: { reach: "memroy" } }) },
      'repairs[0].needs.reach: found the outcome "memroy", expected "memory", the nearest of 3 known',
    ],
  ])("%s", (_, changes, message) => expect(said(changes)).toEqual([message]));

  test("effects of a cause add up to at most 1", () => {
    const findings = [
      {
        ...catalog.findings![0]!,
        values: ["a", "b", "c"].map((id) => ({ id, name: id })),
        base: { a: 0.1, b: 0.1 },
        causes: { cord: { a: 0.6, b: 0.6 } },
      },
    ];
    expect(said({ findings })).toEqual([
      "findings[0].causes.cord: found chances that add up to 1.2, expected a sum of at most 1",
    ]);
  });
});

test("every fault is named at once", () => {
  expect(
    said({
      unlisted: 1,
      causes: [template("a", { signature: { x: 1 } }), template("b", { per: { part: "x" } })],
      settings: [],
      findings: [],
      readings: [],
      repairs: [],
    }).map((m) => m.split(":")[0]),
  ).toEqual(["unlisted", "causes[0].signature.x", "causes[1].per.part"]);
});
