import { expect, test } from "vitest";
import { Catalog, CATALOG_FORMAT, CauseTemplate, Finding, Setting } from "../../engine/catalog/schema.js";
import { catalog } from "../plan/small.js";

test("a catalog comes through as it is", () => {
  expect(catalog.format).toBe(CATALOG_FORMAT);
  expect(Catalog.parse(catalog)).toEqual(catalog);
});

const [cause, finding, setting] = [catalog.causes[0]!, catalog.findings![0]!, catalog.settings![0]!];

test.each([
  ["a catalog without stages", Catalog, { ...catalog, stages: [] }],
  ["a catalog of another format", Catalog, { ...catalog, format: "fitful/catalog@2" }],
  ["a stage whose id has a space", Catalog, { ...catalog, stages: [{ id: "no picture", name: "x" }] }],
  ["a cause with a key that is not known", CauseTemplate, { ...cause, rank: 1 }],
  ["a cause of no known group", CauseTemplate, { ...cause, group: "gremlin" }],
  ["a cause that shows more often than always", CauseTemplate, { ...cause, intermittency: { fixed: 1.1 } }],
  ["a cause with a = 0", CauseTemplate, { ...cause, intermittency: { hard: 0, a: 0, b: 1 } }],
  [
    "a cause both fixed and not",
    CauseTemplate,
    { ...cause, intermittency: { hard: 0, a: 1, b: 1, fixed: 1 } },
  ],
  ["a cause of negative exposure", CauseTemplate, { ...cause, exposure: -1 }],
  ["a finding of one value", Finding, { ...finding, values: finding.values.slice(1) }],
  ["a setting of one value", Setting, { ...setting, values: setting.values.slice(1) }],
])("%s is refused", (_, schema, data) => expect(schema.safeParse(data).success).toBe(false));

test.each([
  ["a cause", CauseTemplate, cause],
  ["a finding", Finding, finding],
  ["a setting", Setting, setting],
])("%s as it stands in the catalog is not", (_, schema, data) => expect(schema.parse(data)).toEqual(data));
