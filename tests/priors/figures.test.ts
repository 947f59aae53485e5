/** The catalogs in `priors/`: every figure says where it comes from, and every name leads somewhere. */
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { GROUPS, Catalog } from "../../engine/catalog/schema.js";
import { modelOf } from "../../engine/belief/model.js";
import { parseCatalog } from "../../engine/ticket/parse.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { unsourced } from "./walk.js";

const folder = new URL("../../priors/", import.meta.url);
const read = (file: string): unknown => JSON.parse(readFileSync(new URL(file, folder), "utf8"));
const files = readdirSync(folder).filter((file) => file.endsWith(".json"));
const issuePaths = (data: unknown): string[] => {
  const parsed = parseCatalog(data);
  return "issues" in parsed ? parsed.issues.map((x) => x.path) : [];
};

describe.each(files)("%s", (file) => {
  const catalog = Catalog.parse(read(file));

  test("is named for its id", () => expect(`${catalog.id}.json`).toBe(file));

  test("every figure has a source", () => expect(unsourced(Catalog, catalog)).toEqual([]));

  test("ids that are referred to are defined, chances add up to 1, exposures can be weighed", () =>
    expect(issuePaths(catalog)).toEqual([]));

  test("every cause can be brought in: by age, by an event, or with a spare", () => {
    const never = catalog.causes.filter(
      (c) => c.rate === undefined && c.events === undefined && c.spare === undefined,
    );
    expect(never.map((c) => c.id)).toEqual([]);
  });

  test("every caution is shown somewhere", () => {
    const { parts, settings = [], findings = [], readings = [], repairs = [] } = catalog;
    const shown = new Set(
      [parts, settings, findings, readings, repairs].flat().flatMap((work) => work.cautions ?? []),
    );
    expect((catalog.cautions ?? []).map((c) => c.id).filter((id) => !shown.has(id))).toEqual([]);
  });
});

describe("desktop.json", () => {
  const catalog = Catalog.parse(read("desktop.json"));

  test("has causes in every group, and enough to look at, to measure and to repair", () => {
    expect(catalog.causes.length).toBeGreaterThanOrEqual(36);
    expect(catalog.findings!.length).toBeGreaterThanOrEqual(8);
    expect(catalog.readings!.length).toBeGreaterThanOrEqual(6);
    expect(catalog.repairs!.length).toBeGreaterThanOrEqual(10);
    expect(new Set(catalog.causes.map((c) => c.group))).toEqual(new Set(GROUPS));
  });

  test("no cause of a plain five-year-old machine stands out before anything is known", () => {
    const model = modelOf(catalog, plainTicket(catalog));
    const { set } = model.prior;
    const alone = model.causes.map((cause, i) => [cause.id, set[1 + i]!] as const); // the singles follow the empty set
    expect(alone.length).toBeGreaterThanOrEqual(50);
    expect(alone.filter(([, p]) => p > 0.1)).toEqual([]);
    expect(model.prior.truncated).toBeLessThan(0.01);
  });
});

const plainTicket = (catalog: Catalog): Ticket => ({
  format: "fitful/ticket@1",
  id: "plain",
  title: "a usual machine",
  catalog: catalog.id,
  machine: { ageYears: 5, parts: catalog.machine!.parts },
  entries: [],
});

describe("the checks themselves", () => {
  const desktop = () => structuredClone(Catalog.parse(read("desktop.json")));

  test("a bare number is found, and where", () => {
    const catalog = desktop();
    catalog.causes[3]!.rate = 0.01;
    catalog.causes[3]!.events = { storm: 0.1 };
    catalog.repairs![0]!.minutes = 2;
    catalog.readings![0]!.healthy.mean = 5;
    expect(unsourced(Catalog, catalog).map((p) => p.path)).toEqual([
      ".causes[3].rate",
      ".causes[3].events.storm",
      ".readings[0].healthy.mean",
      ".repairs[0].minutes",
    ]);
  });

  test("an empty or missing source is found", () => {
    const catalog = desktop();
    delete catalog.findings![0]!.source;
    delete catalog.causes[0]!.intermittency.source;
    catalog.readings![0]!.band!.source = " ";
    expect(unsourced(Catalog, catalog).map((p) => p.path)).toEqual([
      ".causes[0].intermittency",
      ".findings[0]",
      ".readings[0].band",
    ]);
  });

  test("a name that leads nowhere is found", () => {
    const catalog = desktop();
    catalog.causes[0]!.signature = { nowhere: 1 };
    catalog.repairs![0]!.clears = { rust: 1 };
    catalog.settings![0]!.touches = ["rust"];
    expect(issuePaths(catalog).sort()).toEqual([
      "causes[0].signature.nowhere",
      "repairs[0].clears.rust",
      "settings[0].touches[0]",
    ]);
  });

  test("a question about nothing is found", () => {
    const catalog = desktop();
    catalog.causes[1]!.exposure = 'is("place", "moon") * is("rest", "cold") * count("sail") * filled("Z9")';
    expect(issuePaths(catalog)).toEqual(Array(3).fill("causes[1].exposure"));
  });
});

test("the cause that the page walks through can be added as it stands", () => {
  const page = readFileSync(new URL("README.md", folder), "utf8");
  const [, example] = /^```json\n([\s\S]*?)^```/m.exec(page)!;
  const catalog = Catalog.parse(read("desktop.json"));
  const extended = { ...catalog, causes: [...catalog.causes, JSON.parse(example!) as unknown] };
  expect(issuePaths(extended)).toEqual([]);
  expect(unsourced(Catalog, extended)).toEqual([]);
});

// the page's figures: λ = 4.55 %/year, k = 2, Γ(1.5) = 0.886227; H(A) = (0.0455 · 0.886227 · A)² = 0.0016260 A²
// A = 1: 0.0016260 · (1 − 0.75²) = 0.07 %; A = 5: 0.0016260 · (5² − 4.75²) = 0.40 %. The drive: 1 − e^(−0.017 / 4) = 0.42 %
test.each([
  ["standby-rail@supply1", 1, 0.0007],
  ["standby-rail@supply1", 5, 0.004],
  ["drive-worn@drive1", 1, 0.0042],
  ["drive-worn@drive1", 5, 0.0042],
])("the page's chance of %s at %d years is %d", (id, ageYears, chance) => {
  const catalog = Catalog.parse(read("desktop.json"));
  const ticket = plainTicket(catalog);
  const model = modelOf(catalog, { ...ticket, machine: { ...ticket.machine, ageYears } });
  expect(model.causes.find((c) => c.id === id)!.chance).toBeCloseTo(chance, 4); // half a unit of the last printed digit
});
