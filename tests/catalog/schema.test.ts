import { expect, test } from "vitest";
import { Catalog, CATALOG_FORMAT } from "../../engine/catalog/schema.js";
import { catalog } from "../plan/small.js";

/** The kiosk with one thing changed. */
const altered = (change: (data: Record<string, never>) => void): unknown => {
  const data = structuredClone(catalog) as unknown as Record<string, never>;
  change(data);
  return data;
};

test("a catalog comes through as it is", () => {
  expect(catalog.format).toBe(CATALOG_FORMAT);
  expect(Catalog.parse(catalog)).toEqual(catalog);
});

type Loose = Record<string, unknown> & { [k: number]: Loose };

test.each<[string, (data: { [key: string]: Loose }) => void]>([
  ["a key that is not known", (data) => void (data["causes"]![0]!["rank"] = 1 as never)],
  ["an id with a space", (data) => void (data["stages"]![0]!["id"] = "no picture" as never)],
  ["no stages", (data) => void (data["stages"] = [] as never)],
  [
    "a setting with one value",
    (data) => void (data["settings"]![0]!["values"] = [{ id: "rated", name: "rated" }] as never),
  ],
  ["a group that is not known", (data) => void (data["causes"]![0]!["group"] = "gremlin" as never)],
  [
    "a rate of showing above 1",
    (data) => void (data["causes"]![0]!["intermittency"] = { fixed: 1.1 } as never),
  ],
  [
    "a Beta with a = 0",
    (data) => void (data["causes"]![0]!["intermittency"] = { hard: 0, a: 0, b: 1 } as never),
  ],
  ["an exposure below 0", (data) => void (data["causes"]![0]!["exposure"] = -1 as never)],
  [
    "a finding with one value",
    (data) => void (data["findings"]![0]!["values"] = [{ id: "dusty", name: "dusty" }] as never),
  ],
])("%s is refused", (_, change) => {
  expect(Catalog.safeParse(altered(change as never)).success).toBe(false);
});
