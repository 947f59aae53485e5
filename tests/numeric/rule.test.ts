import { expect, test } from "vitest";
import { pointRule } from "../../engine/numeric/rule.js";

test("a rate known exactly is one point with all the weight", () => {
  expect(pointRule(0.25)).toEqual({
    rate: Float64Array.of(0.25),
    rest: Float64Array.of(0.75),
    logRest: Float64Array.of(Math.log1p(-0.25)),
    weight: Float64Array.of(1),
  });
});

test("a fault that always shows never passes", () => {
  expect(pointRule(1)).toMatchObject({ rest: Float64Array.of(0), logRest: Float64Array.of(-Infinity) });
});
