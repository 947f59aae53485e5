/** The same machine worked twice: same luck, given causes, and the figures by hand. */
import { describe, expect, test } from "vitest";
import { pairSeed, workedTwice } from "../../engine/practice/paired.js";
import { pairedFigures, type Pair } from "../../engine/practice/pairedFigures.js";
import type { Worked } from "../../engine/practice/work.js";
import { catalog } from "../learn/small.js";

const ticket = (cause: string) => ({ cause, starts: 6, stops: 3, events: [] });
const leaning = (id: string) => ({
  ...catalog,
  causes: catalog.causes.map((c) => (c.id === id ? { ...c, weight: 20 } : c)),
});
const both = (cause: string, after = catalog) =>
  Array.from({ length: 12 }, (_, k) => workedTwice([catalog, after], ticket(cause), "planner", pairSeed(k))!);

describe("the same machine twice", () => {
  test.each(["slot", "rail", "none", "unlisted"])("%s: with the same catalog both do the same", (cause) => {
    for (const [before, after] of both(cause)) expect(after).toEqual(before);
  });
  test("a catalog that holds the cause for likely names it more often, one that holds another for likely less", () => {
    const named = (pairs: readonly Pair[]) => pairs.filter(([, after]) => after.right).length;
    expect(named(both("rail", leaning("rail")))).toBeGreaterThan(named(both("rail", leaning("slot"))));
  });
  test("a cause that the machine has no place for is no machine", () => {
    expect(workedTwice([catalog, catalog], ticket("the fuse"), "planner", 1)).toBeNull();
  });
});

test("by hand: 10, 20 and 30 minutes that become 8, 16 and 27", () => {
  const worked = (minutes: number): Worked => ({ outcome: "released", minutes, money: 0, wrongParts: 0, comeback: false, right: minutes < 20, total: minutes, actions: 1 }); // prettier-ignore
  const { minutes, right, tickets } = pairedFigures("planner", [[10, 8], [20, 16], [30, 27]].map(([x, y]) => [worked(x!), worked(y!)] as const)); // prettier-ignore
  expect(tickets).toBe(3);
  expect([minutes.before, minutes.after, minutes.difference.value]).toEqual([20, 17, -3]);
  // differences −2, −4, −3: sd 1, so 1.96/√3 to either side
  expect(minutes.difference.high - minutes.difference.value).toBeCloseTo(
    1.959963984540054 / Math.sqrt(3),
    12,
  );
  expect([right.before, right.after]).toEqual([1 / 3, 2 / 3]);
});
