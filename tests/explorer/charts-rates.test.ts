import { expect, test } from "vitest";
import { answersChart } from "../../explorer/charts/answers.js";
import { answerRows } from "../../explorer/charts/answer-rows.js";
import { exposures } from "../../explorer/charts/exposures.js";
import { exercisedShare, exposureRows } from "../../explorer/charts/exposure-rows.js";
import { rateDensities } from "../../explorer/charts/rate-densities.js";
import { rates } from "../../explorer/charts/rate-rows.js";
import { answersTable, exposuresTable, ratesTable } from "../../explorer/charts/tables.js";
import { NONE } from "../../explorer/charts/rows.js";
import { drawnBy } from "./drawn.js";
import { cause, weighing } from "./small.js";

test("a hill is as high as the highest step, now or before the record, over the middles of the steps", () => {
  const { rows, points } = rates(weighing, 1);
  expect(rows).toMatchObject([{ id: "a", p: 0.6, mean: 0.3, hard: 0.1 }]);
  // 0.3, 0.4, 0.2 and 0 in four steps, 0.2, 0.1, 0.5 and 0.1 before
  expect(points.map(({ rate, height, before }) => [rate, height, before])).toEqual([
    [0.125, 0.3 / 0.5, 0.2 / 0.5],
    [0.375, 0.4 / 0.5, 0.1 / 0.5],
    [0.625, 0.2 / 0.5, 1],
    [0.875, 0, 0.1 / 0.5],
  ]);
  const options = rateDensities({ rows, points }, 400);
  expect(options.fy?.domain).toEqual(["a"]);
  expect(drawnBy(options)).toContainEqual(points);
  expect(drawnBy(options)).toContainEqual(rows);
});

test("what is too unlikely for a density has no hill", () => {
  const bare = {
    ...cause("d", "part", 0.9),
    rate: { mean: 0.3, low: 0, high: 1, hard: 0, density: null, densityBefore: null },
  };
  const without = { ...weighing, causes: [bare, { ...cause("e", "part", 0.5), rate: null }] };
  expect(rates(without)).toEqual({ rows: [], points: [] });
  expect(ratesTable(rates(without)).rows).toEqual([]);
});

test("under each answer stand the causes it moves, and none that it leaves where it was", () => {
  const answers = [
    { text: "clean", outcome: "clean", chance: 0.7, effects: [{ cause: "a", before: 0.6, after: 0.5 }, { cause: "b", before: 0.3, after: 0.301 }] },
    { text: "stops", outcome: "dead", chance: 0.3, effects: [{ cause: NONE, before: 0.05, after: 0 }] },
  ]; // prettier-ignore
  const rows = answerRows(answers, weighing);
  expect(rows.map(({ id, effect }) => [id, effect?.name ?? null])).toEqual([
    ["0", null],
    ["0 a", "Cause a"],
    ["1", null],
    ["1 none", "Nothing wrong"],
  ]);
  const options = answersChart(rows, 380);
  expect(options.y?.domain).toEqual(rows.map((row) => row.id));
  expect(drawnBy(options).some((drawn) => drawn.length === 2 && (drawn[0] as { after: number }).after === 0.5)).toBe(true); // prettier-ignore
  expect(answersTable(rows).rows.map((row) => row.map(({ said }) => said))).toEqual([
    ["clean", "70 %", "Cause a", "60 %", "50 %"],
    ["stops", "30 %", "Nothing wrong", "5 %", "0 %"],
  ]);
});

test("what a start exercises is drawn for the likeliest, and summed up over all that is suspected", () => {
  const of = new Map([
    ["a", { exposure: 0 }],
    ["b", { exposure: 1.6 }],
    ["c", { exposure: 0.2 }],
  ]);
  const rows = exposureRows(weighing, of);
  expect(rows.map(({ id, exposure }) => [id, exposure])).toEqual([["a", 0], ["b", 1.6], ["c", 0.2]]); // prettier-ignore
  // of 0.6 + 0.3 + 0.02: b well, a not at all
  expect(exercisedShare(rows).well).toBeCloseTo(0.3 / 0.92, 12);
  expect(exercisedShare(rows).not).toBeCloseTo(0.6 / 0.92, 12);
  expect(exercisedShare([])).toEqual({ well: 0, not: 0 });
  expect((exposures(rows, 330).x!.domain as number[])[1]).toBe(1.6);
  expect(drawnBy(exposures(rows, 330))).toContainEqual(rows);
  expect(exposuresTable(rows).rows.map((row) => row[2]!.said)).toEqual(["not at all", "× 1.6", "× 0.20"]);
});
