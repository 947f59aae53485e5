import { expect, test } from "vitest";
import { pointRule, powersAt } from "../../engine/numeric/rule.js";

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

test("what is not exposed is hidden at every rate, the hard one too", () => {
  expect([...powersAt(pointRule(1), 0, 1), ...powersAt(pointRule(0.5), 0, 1)]).toEqual([1, 0, 1, 0]);
});
