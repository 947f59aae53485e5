import { describe, expect, test } from "vitest";
import { compileExposure, questionsOf, type ExposureScope } from "../../engine/catalog/exposure.js";
import { createWeigher } from "../../engine/weigh.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { runs, simpleTicket } from "../oracle/simple.js";

/** Four hours cold; two modules, one of them in A1, which is where the cause sits; A2 is filled too. */
const scope: ExposureScope = {
  conditions: { rest: 240, load: 0 },
  is: (id, value) => Number(id === "rest" && value === "cold"),
  count: (kind) => (kind === "module" ? 2 : 0),
  at: (position) => Number(position === "A1"),
  filled: (position) => Number(position === "A1" || position === "A2"),
};
const CONDITIONS = ["rest", "load"];

test.each<[string | number, number]>([
  [0.25, 0.25],
  ['is("rest", "cold") ? 1.5 : 0.3', 1.5],
  ['is("rest", "warm") ? 1.5 : 0.3', 0.3],
  ['count("module") / 2', 1],
  ['at("A1") + 10 * at("A2")', 1],
  ['filled("A2") and not filled("B1")', 1],
  ["1 - exp(-rest / 240)", 1 - Math.exp(-1)],
  ["min(rest, 30) + max(load, 1)", 31],
  ["abs(-3) * sqrt(4) ^ 2", 12],
  ["floor(1.7) + ceil(1.2) + round(1.6)", 5],
  ["log(exp(2))", 2],
  ["0 < rest <= 240", 1],
  ["rest < 60 or load != 0", 0],
  ["rest >= 240 and load == 0", 1],
  ["-rest > +1", 0],
])("%s is %d", (expression, value) => {
  expect(compileExposure(expression, CONDITIONS)(scope)).toBeCloseTo(value, 14);
});

describe("what could reach outside is refused with what was found", () => {
  test.each([
    ["rest = 1", "AssignmentNode"],
    ["f(x) = x", "FunctionAssignmentNode"],
    ["1; 2", "BlockNode"],
    ["rest.constructor", "AccessorNode"],
    ['is["constructor"]', "AccessorNode"],
    ['is("rest", "cold").toString', "AccessorNode"],
    ["[1, 2]", "ArrayNode"],
    ["{a: 1}", "ObjectNode"],
    ["1:3", "RangeNode"],
    ['import("node:fs")', "the function import"],
    ['evaluate("1")', "the function evaluate"],
    ['parse("1")', "the function parse"],
    ['compile("1")', "the function compile"],
    ['createUnit("x")', "the function createUnit"],
    ["toString()", "the function toString"],
    ["cos(1)", "the function cos"],
    ["constructor", "the name constructor"],
    ["__proto__", "the name __proto__"],
    ["process", "the name process"],
    ["pi", "the name pi"],
    ["5 cm", "the name cm"],
    ["is", "the name is"],
    ["min(is, 1)", "the name is"],
    ["rest!", "the operator factorial"],
    ["7 mod 2", "the operator mod"],
    ["1 & 2", "the operator bitAnd"],
    ["rest to load", "the operator to"],
    ['"text"', 'the text "text"'],
    ['rest ? "a" : 1', 'the text "a"'],
    ['rest == "240"', 'the text "240"'],
  ])("%s", (expression, found) => {
    expect(() => compileExposure(expression, CONDITIONS)).toThrow(SyntaxError);
    expect(() => compileExposure(expression, CONDITIONS)).toThrow(
      `found ${found.startsWith("the") ? "" : "a "}${found}, expected `,
    );
  });

  test.each(["2 +", "(1", "is.constructor(1)()", "x => x", "`a`", ""])(
    "%j, which is no expression",
    (expression) => {
      expect(() => compileExposure(expression, CONDITIONS)).toThrow(SyntaxError);
    },
  );

  test.each(['is("rest")', 'is("rest", rest)', "is(1, 2)", "count(rest)", 'at("A1", "A2")', "filled()"])(
    "%s, which asks a question wrongly",
    (expression) => {
      expect(() => compileExposure(expression, CONDITIONS)).toThrow(
        /with other arguments, expected [12] texts? in quotes/,
      );
    },
  );

  test.each(["min()", "sqrt(4, 2)", "exp()", "abs(1, 2)"])(
    "%s, which has not the arguments of its function",
    (expression) => {
      expect(() => compileExposure(expression, CONDITIONS)).toThrow(SyntaxError);
    },
  );

  test("conditions of another catalog have no meaning", () => {
    expect(() => compileExposure("rest / 60", [])).toThrow(
      "found the name rest, expected a condition (none here)",
    );
  });
});

test.each([
  ["-1", "-1"],
  ["log(-1)", "NaN"],
  ["1 / 0", "Infinity"],
])("an exposure of %s is a fault of the catalog, found when it is first asked for", (exposure, found) => {
  const ticket = simpleTicket({
    causes: [{ id: "x", p: 0.1, rate: { fixed: 0.5 }, exposure }],
    entries: [runs("e", 1, 1)],
  });
  const weighed = createWeigher(ticket.catalog as Catalog).weigh(ticket);
  expect(weighed).toMatchObject({
    issues: [
      {
        path: "catalog.causes.x.exposure",
        found: expect.stringContaining(found) as string,
        expected: "a finite number of at least 0",
      },
    ],
  });
});

test("the questions of an expression are listed with their texts", () => {
  expect(questionsOf('is("rest", "cold") ? count("module") : at("A1") * filled("A2")')).toEqual([
    ["is", "rest", "cold"],
    ["count", "module"],
    ["at", "A1"],
    ["filled", "A2"],
  ]);
  expect(questionsOf("rest / 60")).toEqual([]);
  expect(questionsOf(0.3)).toEqual([]);
});

test.each(["", "  "])("a blank expression %j is refused as one", (blank) => {
  expect(() => compileExposure(blank, CONDITIONS)).toThrow(
    new SyntaxError("found no text, expected an expression such as 1"),
  );
});
