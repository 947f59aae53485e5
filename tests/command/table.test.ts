import { expect, test } from "vitest";
import { howOften, percent, range, rough, signed } from "../../engine/command/figures.js";
import { bar, PAGE, paragraph, table, width } from "../../engine/command/table.js";

test("columns line up, figures to the right, no space at the end of a line", () => {
  const columns = [{ title: "cause" }, { title: "now", align: "right" }, { title: "" }] as const;
  expect(
    table(
      columns,
      [
        ["supply", "68 %", "x"],
        ["outlet strip", "7 %", ""],
      ],
      "",
    ),
  ).toBe(["cause          now", "supply        68 %  x", "outlet strip   7 %", ""].join("\n"));
});

test("a long cell goes on below itself, wide characters counted twice", () => {
  const columns = [{ title: "", max: 8 }, { title: "" }] as const;
  expect(table(columns, [["standby rail", "68 %"]], "")).toBe("standby  68 %\nrail\n");
  expect(table(columns, [["abcdefghijk", "x"]], "")).toBe("abcdefgh  x\nijk\n");
  expect(width("電源 ab")).toBe(7);
  expect(width("e\u0301")).toBe(1);
});

test("a line break inside a cell does not break the table", () => {
  expect(table([{ title: "" }], [["one\ntwo"]], "")).toBe("one two\n");
});

test("a paragraph keeps within the page and loses no word", () => {
  const text = Array.from({ length: 60 }, (_, i) => `word${i}`).join(" ");
  const lines = paragraph(text, "  ! ", "    ").trimEnd().split("\n");
  expect(Math.max(...lines.map(width))).toBeLessThanOrEqual(PAGE);
  expect(lines.length).toBeGreaterThan(1);
  expect(lines.join(" ").replace(/\s+/g, " ")).toBe(` ! ${text}`);
});

test("a bar is as long as it should be, whatever the chance", () => {
  expect(bar(0.5, 0.75, 8)).toBe("████░░··");
  expect(bar(1, null, 4)).toBe("████");
  expect(bar(0, 0, 4)).toBe("····");
});

test("no chance is rounded to certainty", () => {
  expect([0, 0.001, 0.684, 0.997, 1].map(percent)).toEqual(["0 %", "<1 %", "68 %", ">99 %", "100 %"]);
});

test("figures are written as a person says them", () => {
  expect([8.43, -0.31, 0.04].map(signed)).toEqual(["+8.4", "−0.3", "0.0"]);
  expect([0, 0.0321, 2.5, 22.4, 1234].map(rough)).toEqual(["0", "0.032", "2.5", "22", "1234"]);
  expect([0.99, 0.8, 0.33, 0.001].map(howOften)).toEqual([
    "every start",
    "8 starts in 10",
    "1 start in 3",
    "under 1 in 200",
  ]);
  expect(range(0.551, 0.789)).toBe("55–79 %");
  expect(range(0, 0.003)).toBe("<1 %");
  expect(range(null, null)).toBe("");
});
