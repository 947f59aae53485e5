import { describe, expect, test } from "vitest";
import {
  BetaChance,
  betaPrior,
  Chance,
  gammaPrior,
  Minutes,
  numberOf,
  Positive,
  Rate,
} from "../../engine/catalog/figures.js";

describe("rates are failures in a unit-year", () => {
  test.each([
    // 1 FIT = 1 failure in 10⁹ device-hours (definition); 8760 hours make a year
    ["FIT", 1, 8.76e-6],
    ["FIT", 1000, 8.76e-3],
    ["%/year", 3, 0.03],
    ["1/h", 1e-6, 8.76e-3],
    ["1/year", 0.04, 0.04],
  ] as const)("from %s", (unit, value, perYear) => {
    expect(gammaPrior({ value, unit }).mean).toBeCloseTo(perYear, 15);
  });

  test("a rate without a unit is one of a year, and a bare number is known exactly", () => {
    expect(gammaPrior({ value: 0.04 })).toMatchObject({ mean: 0.04, spread: false });
    expect(gammaPrior(0.04)).toMatchObject({ mean: 0.04, spread: false });
  });

  test("so many failures in so many unit-years are Gamma(failures, unit-years)", () => {
    expect(gammaPrior({ failures: 3, unitYears: 60 })).toEqual({
      mean: 0.05,
      alpha: 3,
      beta: 60,
      spread: true,
    });
  });

  test("knowledge is failures' worth: alpha, with the mean kept in failures a year", () => {
    // 5 %/year known from 4 failures: 4 / 0.05 = 80 unit-years
    const { mean, alpha, beta, spread } = gammaPrior({ value: 5, unit: "%/year", knowledge: 4 });
    expect([mean, alpha, spread]).toEqual([0.05, 4, true]);
    expect(beta).toBeCloseTo(80, 12);
  });

  test("a rate of 0 is exact, however well it is known", () => {
    expect(gammaPrior({ value: 0, knowledge: 10 })).toMatchObject({ mean: 0, spread: false });
  });
});

describe("chances", () => {
  test("knowledge is cases' worth: alpha + beta", () => {
    const { mean, alpha, beta, spread } = betaPrior({ value: 0.2, knowledge: 10 });
    expect([mean, alpha, beta, spread]).toEqual([0.2, 2, 8, true]);
  });

  test("alpha and beta themselves have the mean α / (α + β)", () => {
    expect(betaPrior({ alpha: 1, beta: 3 })).toEqual({ mean: 0.25, alpha: 1, beta: 3, spread: true });
  });

  test.each([0.3, { value: 0.3 }, { value: 0, knowledge: 5 }, { value: 1, knowledge: 5 }])(
    "%j is exact",
    (figure) => {
      expect(betaPrior(figure).spread).toBe(false);
    },
  );
});

test("a figure is its number, with or without a source", () => {
  expect(numberOf(4)).toBe(4);
  expect(numberOf({ value: 4, unit: "minutes", source: "judgement" })).toBe(4);
});

describe("figures that mean nothing are refused", () => {
  test.each([
    ["a chance above 1", Chance, 1.2],
    ["a chance below 0", Chance, { value: -0.1 }],
    ["no number", Chance, NaN],
    ["minutes below 0", Minutes, -1],
    ["an endless time", Minutes, Infinity],
    ["a spread of 0", Positive, 0],
    ["a rate below 0", Rate, -0.01],
    ["a unit that is not known", Rate, { value: 1, unit: "1/day" }],
    ["knowledge of nothing", Rate, { value: 1, knowledge: 0 }],
    ["no failures", Rate, { failures: 0, unitYears: 10 }],
    ["a Beta of one number", BetaChance, { alpha: 1 }],
    ["a key that is not known", BetaChance, { value: 0.1, kowledge: 3 }],
    ["a source that says nothing", Chance, { value: 0.1, source: "" }],
  ])("%s", (_, schema, figure) => {
    expect(schema.safeParse(figure).success).toBe(false);
  });
});
