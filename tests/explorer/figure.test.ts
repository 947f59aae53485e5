import { expect, test } from "vitest";
import { csvOf, tableOf } from "../../explorer/charts/figure.js";
import { standalone } from "../../explorer/charts/standalone.js";
import { beliefTable, comebackTable, suspectsTable } from "../../explorer/charts/tables.js";
import { beliefPoints, rises, suspectRows } from "../../explorer/charts/rows.js";
import { percent } from "../../explorer/bench/format.js";
import { weighing } from "./small.js";

const table = tableOf(
  "Chances",
  [
    { name: 'the "old" one, left', p: 0.123456 },
    { name: "none", p: null },
  ],
  [
    { title: "Suspect", of: (d) => d.name },
    { title: "Now", of: (d) => d.p, say: percent },
  ],
);

test("a table is read rounded and saved whole; what is not known is empty in both", () => {
  expect(table.rows.map((row) => row[1])).toEqual([
    { value: 0.123456, said: "12 %" },
    { value: null, said: "" },
  ]);
  expect(csvOf(table)).toBe('Suspect,Now\n"the ""old"" one, left",0.123456\nnone,');
});

test("a saved drawing needs no page: its colours are written in, its pattern and its paper come along", () => {
  const svg = '<svg viewBox="0 0 9 9"><rect fill="url(#hatch)" stroke="var(--ink)"/><a fill="var(--lost)"/></svg>';
  const properties: Record<string, string> = { "--ink": " #123456", "--paper": "#fff", "--none": "#888" };
  const alone = standalone(svg, (name) => properties[name] ?? "");
  expect(alone).not.toContain("var(");
  expect(alone).toContain('stroke="#123456"');
  expect(alone).toContain('<a fill="currentColor"/>');
  expect(alone.match(/id="hatch"/g)).toHaveLength(1);
  expect(alone.indexOf('fill="#fff"')).toBeLessThan(alone.indexOf("#123456"));
}); // prettier-ignore

test("the tables hold what the charts draw", () => {
  const suspects = suspectsTable(suspectRows(weighing, "present", 1), new Map([["a", 0.3]]));
  expect(suspects.rows[0]!.map(({ said }) => said)).toEqual(["Cause a", "supply", "60 %", "30 %", "100 %", "20 %", "about 1 start in 3"]); // prettier-ignore
  expect(beliefTable(beliefPoints(weighing, 1)).rows.map((row) => row.map(({ said }) => said))).toEqual([
    ["1", "20 %", "5 %", "4 %"],
    ["2", "60 %", "5 %", "4 %"],
  ]);
  const points = [0, 5].flatMap((n) => ["here", "there"].map((where) => ({ n, where, chance: n / 10 })));
  expect(comebackTable({ points, enough: [], limit: 0.05 }).rows.map((row) => row.map((c) => c.value))).toEqual([
    [0, 0, 0],
    [5, 0.5, 0.5],
  ]); // prettier-ignore
});

test("a curve that climbs is noticed, one that only falls or wavers by less than half a point is not", () => {
  const curve = (...chances: number[]) => ({
    points: chances.map((chance, n) => ({ n, where: "here", chance })),
    enough: [],
    limit: 0.05,
  });
  expect(rises(curve(0.5, 0.4, 0.45))).toBe(true);
  expect(rises(curve(0.5, 0.4, 0.404))).toBe(false);
  expect(rises(curve(0.5, 0.4, 0.3))).toBe(false);
});

test("no cell of a saved table is run by a spreadsheet, and numbers stay numbers", () => {
  const rows = [{ name: '=HYPERLINK("x")', p: -0.25 }];
  const table = tableOf("claims", rows, [
    { title: "+name", of: (row) => row.name },
    { title: "p", of: (row) => row.p, say: percent },
  ]);
  expect(csvOf(table).split("\n")).toEqual(["'+name,p", `"'=HYPERLINK(""x"")",-0.25`]);
});
