import { expect, test } from "vitest";
import { parseCatalog, parseTicket } from "../../engine/ticket/parse.js";
import { checkCatalog } from "../../engine/ticket/checkCatalog.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import type { Release } from "../../engine/catalog/schema.js";
import { catalog, ticket } from "../plan/small.js";

const perDay = (conditions: Record<string, string>): Release => ({ perDay: [{ conditions, perDay: 1 }] });

test("terms of release name conditions and classes that the catalog has", () => {
  expect(checkTicket(catalog, ticket([], { release: perDay({ rest: "cold" }) }))).toEqual([]);
  expect(checkTicket(catalog, ticket([], { release: { perDay: 3, days: 60, limit: 0.02 } }))).toEqual([]);
});

test.each([
  ["condition", { rset: "cold" }, "release.perDay[0].conditions.rset", 'the condition "rset"', '"rest"'],
  ["class", { rest: "clod" }, "release.perDay[0].conditions.rest", 'the class "clod"', '"cold"'],
])(
  "of an unknown %s the nearest is named, in a ticket and in a catalog",
  (_, conditions, path, found, nearest) => {
    const release = perDay(conditions as Record<string, string>);
    const issues = checkTicket(catalog, ticket([], { release }));
    expect(issues.map((x) => [x.path, x.found])).toEqual([[path, found]]);
    expect(issues[0]!.expected).toContain(nearest);
    expect(checkCatalog({ ...catalog, release }, "catalog").map((x) => x.path)).toEqual([`catalog.${path}`]);
  },
);

test.each([
  [{ days: -1 }, "release.days"],
  [{ limit: 1.2 }, "release.limit"],
  [{ perDay: -2 }, "release.perDay"],
  [{ perDay: [] }, "release.perDay"],
  [{ perday: 2 }, "release"],
])("%j is refused, and where is said", (release, path) => {
  const parsed = parseTicket({ ...ticket(), release });
  expect("issues" in parsed && parsed.issues.every((x) => x.path.startsWith(path))).toBe(true);
  const kind = parseCatalog({ ...catalog, release });
  expect("issues" in kind && kind.issues.every((x) => x.path.startsWith(path))).toBe(true);
});
