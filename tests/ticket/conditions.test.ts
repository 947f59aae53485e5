import { expect, test } from "vitest";
import { classes } from "../../engine/ticket/conditions.js";
import { catalog } from "../plan/small.js";

test("every combination of classes, at their typical minutes", () => {
  expect(classes(catalog)).toEqual([
    { rest: 5, load: 0 },
    { rest: 5, load: 60 },
    { rest: 240, load: 0 },
    { rest: 240, load: 60 },
  ]);
});

test("a catalog without conditions has one kind of start", () => {
  const { conditions: _, ...plain } = catalog;
  expect(classes(plain)).toEqual([{}]);
});
