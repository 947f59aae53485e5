/** Gauss rules of the engine, made from its fine rule for Beta(a, b), against the classical ones. */
import { describe, expect, test } from "vitest";
import { fineRule } from "../../engine/numeric/fine.js";
import { gaussRule } from "../../engine/numeric/gauss.js";
import reference from "./gauss-rules.json";

describe(`quadrature — ${reference.source}`, () => {
  test.each(reference.cases)("$name", ({ alpha, beta, total, points, weights }) => {
    // (1 − x)^α (1 + x)^β on [−1, 1] is Beta(β + 1, α + 1) on [0, 1] with x = 2r − 1
    const fine = fineRule(0, beta + 1, alpha + 1, 0);
    const rule = gaussRule(fine.rate, fine.weight, points.length);
    points.forEach((x, k) => {
      expect(Math.abs(2 * rule.point[k]! - 1 - x)).toBeLessThan(reference.within);
      expect(Math.abs(total * rule.weight[k]! - weights[k]!)).toBeLessThan(reference.within);
    });
  });
});
