import { expect, test } from "vitest";
import { beliefThrough } from "../../explorer/charts/belief-through.js";
import {
  beliefPoints,
  excessSurprise,
  lessons,
  NONE,
  spread,
  suspectRows,
  UNLISTED,
} from "../../explorer/charts/rows.js";
import { suspects } from "../../explorer/charts/suspects.js";
import { drawnBy } from "./drawn.js";
import { entry, weighing } from "./small.js";

test("the likeliest causes come first, nothing wrong and not on the list always last", () => {
  expect(suspectRows(weighing, "present", 2).map((row) => row.id)).toEqual(["a", "b", NONE, UNLISTED]);
  expect(suspectRows({ ...weighing, causes: [] }, "present", 2).map((row) => row.id)).toEqual([
    NONE,
    UNLISTED,
  ]);
});

test("a part on the shelf may have been the cause and is still not at work", () => {
  const still = suspectRows(weighing, "atWork", 3);
  expect(still.map((row) => row.id)).toEqual(["b", "c", "a", NONE, UNLISTED]);
  expect(still[3]).toMatchObject({ name: "Nothing at work", p: 0.5 });
});

test("the tick stands where the belief was before the last entry, and before the record for the first", () => {
  expect(suspectRows(weighing, "present", 1)[0]).toMatchObject({ id: "a", p: 0.6, before: 0.2 });
  const first = { ...weighing, entries: weighing.entries.slice(0, 1) };
  expect(suspectRows(first, "present", 1)[0]).toMatchObject({ before: 0.1 });
});

test("what could be draws a bar for each suspect, an interval where there is one, and room for a finger", () => {
  const rows = suspectRows(weighing, "present", 2);
  const options = suspects(rows, 400);
  expect(options.y?.domain).toEqual(["a", "b", NONE, UNLISTED]);
  expect(options.x?.domain).toEqual([0, 1]);
  expect(options.height).toBeGreaterThanOrEqual(4 * 44);
  expect(drawnBy(options)).toContainEqual(rows);
  const bare = suspects(suspectRows(weighing, "atWork", 1), 400);
  const intervals = drawnBy(bare).filter((rows) => rows.length === 1);
  expect(intervals).toContainEqual([expect.objectContaining({ id: UNLISTED, low: 0.01 })]);
});

test("belief through the record has one point for each suspect and entry, the leaders first", () => {
  const points = beliefPoints(weighing, 2);
  expect(points.filter((p) => p.id === "a").map((p) => p.p)).toEqual([0.2, 0.6]);
  expect([...new Set(points.map((p) => p.id))]).toEqual(["a", "b", NONE, UNLISTED]);
  const options = beliefThrough(points, 500);
  expect(options.x?.domain).toEqual([1, 2]);
  const lines = drawnBy(options)
    .flat()
    .filter((row) => row === points[0]);
  expect(lines.length).toBeGreaterThan(0);
  expect(drawnBy(beliefThrough([], 500)).flat()).not.toContain(undefined);
});

test("labels that would lie over each other are moved apart and keep their order", () => {
  // wanted 50, 52, 51 with 10 between, in 0 to 100: from the top 50, then 51 → 60, then 52 → 70
  expect(spread([50, 52, 51], 10, 0, 100)).toEqual([50, 70, 60]);
  // at the lower edge they are pushed up: 100, 90, 80
  expect(spread([99, 100, 98], 10, 0, 100)).toEqual([90, 100, 80]);
  expect(spread([], 10, 0, 100)).toEqual([]);
});

test("the margin names the heaviest weights, and nothing under a deciban", () => {
  expect(lessons(weighing.entries[1]!, weighing).map((l) => [l.id, l.decibans])).toEqual([
    ["c", -12],
    ["a", 8],
    [NONE, -4],
  ]);
});

test("a surprise without an expectation is not called odd", () => {
  expect(excessSurprise(entry("x", {}))).toBeCloseTo(-0.1, 12);
  expect(excessSurprise({ ...entry("x", {}), expected: null })).toBeNull();
});
