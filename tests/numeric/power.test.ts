import { expect, test } from "vitest";
import { power } from "../../engine/numeric/power.js";

test.each([0, 0.3, 0.5, 1, 2, 2.5, 3, 7])(
  "x to the power %d is what the language says, to the last digit but one",
  (n) => {
    for (const x of [0, 1e-300, 0.1, 0.7, 1, 3])
      expect(Math.abs(power(x, n) - x ** n)).toBeLessThanOrEqual(2 * Number.EPSILON * x ** n);
  },
);
