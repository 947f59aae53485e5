/** The catalogs in `priors/`: every figure says where it comes from, and every name leads somewhere. */
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { Catalog } from "../../engine/catalog/schema.js";
import { compileExposure } from "../../engine/catalog/exposure.js";
import { dangling } from "./references.js";
import { unsourced } from "./walk.js";

const folder = new URL("../../priors/", import.meta.url);
const read = (file: string): unknown => JSON.parse(readFileSync(new URL(file, folder), "utf8"));
const files = readdirSync(folder).filter((file) => file.endsWith(".json"));

test("there is a catalog of a desktop", () => expect(files).toContain("desktop.json"));

describe.each(files)("%s", (file) => {
  const catalog = Catalog.parse(read(file));

  test("is named for its id", () => expect(`${catalog.id}.json`).toBe(file));

  test("every figure has a source", () => expect(unsourced(Catalog, catalog)).toEqual([]));

  test("signatures add up to 1", () => {
    const all = [["leak", catalog.leak.signature] as const, ...catalog.causes.map((c) => [c.id, c.signature] as const)];
    const off = all.filter(([, signature]) => {
      const sum = Object.values(signature).reduce((a, b) => a + b, 0);
      return !(Math.abs(sum - 1) <= 1e-9);
    });
    expect(off).toEqual([]);
  });

  test("every id that is referred to is defined", () => expect(dangling(catalog)).toEqual([]));

  test("ids are used once", () => {
    const { stages, events, parts, positions, settings, conditions, causes, findings, readings, repairs, cautions } = catalog;
    for (const list of [stages, events, parts, positions, settings, conditions, causes, findings, readings, repairs, cautions]) {
      const ids = (list ?? []).map((item) => item.id);
      expect(ids).toEqual([...new Set(ids)]);
    }
  });

  test("every exposure is understood", () => {
    const conditions = (catalog.conditions ?? []).map((c) => c.id);
    for (const cause of catalog.causes) expect(() => compileExposure(cause.exposure ?? 1, conditions), cause.id).not.toThrow();
  });

  test("every cause can be brought in: by age, by an event, or as a spare", () => {
    const never = catalog.causes.filter((c) => c.rate === undefined && c.events === undefined && c.spare === undefined);
    expect(never.map((c) => c.id)).toEqual([]);
  });

  test("whatever the firmware, the settings or the data are changed by is warned about", () => {
    const work = (catalog.repairs ?? []).filter((r) => r.id.includes("firmware"));
    for (const repair of work) expect(repair.cautions, repair.id).toContain("firmware");
  });
});

test("the desktop has at least 36 causes, 12 findings and readings, and 10 repairs to choose from", () => {
  const catalog = Catalog.parse(read("desktop.json"));
  expect(catalog.causes.length).toBeGreaterThanOrEqual(36);
  expect(catalog.findings!.length).toBeGreaterThanOrEqual(8);
  expect(catalog.readings!.length).toBeGreaterThanOrEqual(6);
  expect(catalog.repairs!.length).toBeGreaterThanOrEqual(10);
  expect(new Set(catalog.causes.map((c) => c.group))).toEqual(
    new Set(["part", "contact", "firmware", "setting", "supply", "outside", "heat"]),
  );
});

describe("the checks themselves", () => {
  const desktop = () => structuredClone(Catalog.parse(read("desktop.json")));

  test("a bare number is found, and where", () => {
    const catalog = desktop();
    catalog.causes[3]!.rate = 0.01;
    catalog.repairs![0]!.minutes = 2;
    catalog.readings![0]!.healthy.mean = 5;
    expect(unsourced(Catalog, catalog).map((p) => p.path)).toEqual([
      ".causes[3].rate",
      ".readings[0].healthy.mean",
      ".repairs[0].minutes",
    ]);
  });

  test("an empty or missing source is found", () => {
    const catalog = desktop();
    delete (catalog.findings![0]! as { source?: string }).source;
    delete (catalog.causes[0]!.intermittency as { source?: string }).source;
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
    catalog.causes[1]!.exposure = 'is("place", "moon") * count("sail") * filled("Z9")';
    catalog.repairs![0]!.clears = { rust: 1 };
    catalog.settings![0]!.touches = ["rust"];
    expect(dangling(catalog).map((p) => p.found)).toEqual(["nowhere", "moon", "sail", "Z9", "rust", "rust"]);
  });
});
