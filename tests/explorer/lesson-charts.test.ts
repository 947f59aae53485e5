import type { Mark, PlotOptions } from "@observablehq/plot";
import { expect, test } from "vitest";
import { lessonBars } from "../../explorer/charts/lesson-bars.js";
import { lessonLines } from "../../explorer/charts/lesson-lines.js";
import { said } from "../../explorer/lessons/words.js";

const dataOf = (options: PlotOptions) =>
  (options.marks as Mark[]).map((mark) => [
    ...((mark as unknown as { data: Iterable<unknown> | null }).data ?? []),
  ]);

test("a line for each figure, and a rule and dots where the control stands", () => {
  const points = [0, 1, 2].flatMap((x) => [
    { x, name: "module", value: 0.5 ** x },
    { x, name: "supply", value: 1 - 0.5 ** x },
  ]);
  const drawn = dataOf(lessonLines(points, { now: 1, label: "Clean starts" }, 390));
  expect(drawn).toContainEqual(points.filter((p) => p.name === "module"));
  expect(drawn).toContainEqual([1]);
  expect(drawn).toContainEqual(points.filter((p) => p.x === 1));
  expect(lessonLines([], { now: null, label: "x" }, 390).y?.domain).toEqual([0, 0.5]);
});

test("bars stand in the order given, with their figures", () => {
  const bars = [
    { name: "contact", value: 0.5, said: "50 %" },
    { name: "board", value: 0.1, said: "10 %" },
  ];
  const options = lessonBars(bars, 390);
  expect(options.y?.domain).toEqual(["contact", "board"]);
  expect(dataOf(options)).toContainEqual(bars);
});

test("figures in words: no weight is not called one, and no number of starts is not called a number", () => {
  expect(said({ say: "decibans" }, -1.76)).toBe("1.8 decibans against it");
  expect(said({ say: "decibans" }, 0)).toBe("nothing to speak of");
  expect(said({ say: "count" }, Infinity)).toBe("more than anybody would make");
  expect(said({ say: "times" }, 2.136)).toBe("2.14 to one");
});
