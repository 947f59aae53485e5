import { expect, test } from "vitest";
import { comeback } from "../../explorer/charts/comeback.js";
import { AS_IT_IS, BETTER, comebackRows } from "../../explorer/charts/rows.js";
import { drawnBy } from "./drawn.js";
import type { ProvingView, ReleaseView } from "../../engine/weighing.js";

const proving = (needed: number | null, chance: (n: number) => number): ProvingView => ({
  title: "",
  change: null,
  conditions: {},
  needed,
  minutes: needed,
  curve: [0, 1, 2, 5, 10, 20, 30, 50, 100, 200, 500].map((n) => ({ n, comeback: chance(n) })),
});
const release = (here: ProvingView, best: ProvingView | null = null): ReleaseView => ({
  nothingAtWork: 0.5,
  comeback: here.curve[0]!.comeback,
  use: [{ conditions: {}, perDay: 1 }],
  days: 30,
  limit: 0.05,
  setup: { in: "own", fit: {}, settings: {}, conditions: {} },
  here,
  best,
});
const lastOf = (view: ReleaseView) => comebackRows(view).points.at(-1)!.n;

test("the curve reaches half as far again as the starts that are needed, and to the end where none are enough", () => {
  expect(lastOf(release(proving(0, () => 0.01)))).toBe(20);
  expect(lastOf(release(proving(19, (n) => 1 / (n + 1))))).toBe(30);
  expect(lastOf(release(proving(null, () => 0.9)))).toBe(500);
  expect(lastOf(release(proving(null, () => 0.9), proving(19, (n) => 1 / (n + 1))))).toBe(30); // prettier-ignore
});

test("a better way has a line of its own, and a dot where it is enough", () => {
  const rows = comebackRows(release(proving(99, (n) => 1 / (1 + n / 5)), proving(19, (n) => 1 / (n + 1)))); // prettier-ignore
  expect([...new Set(rows.points.map((point) => point.where))]).toEqual([AS_IT_IS, BETTER]);
  expect(rows.enough.map(({ where, n, said }) => [where, n, said])).toEqual([
    [AS_IT_IS, 99, "99"],
    [BETTER, 19, "19"],
  ]);
  for (const { chance } of rows.enough) expect(chance).toBeLessThanOrEqual(0.05);
  const options = comeback(rows, 400);
  expect(options.x?.domain).toEqual([0, 200]);
  expect(options.y?.domain).toEqual([0, 1]);
  for (const where of [AS_IT_IS, BETTER])
    expect(drawnBy(options)).toContainEqual(rows.points.filter((point) => point.where === where));
  expect(drawnBy(options)).toContainEqual(rows.enough);
  expect(drawnBy(options)).toContainEqual([0.05]);
});
