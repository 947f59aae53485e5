/** What the borrowed special functions really reach, against tabulated values, and the engine's own distribution function. */
import { DENSITY } from "../../engine/belief/rates.js";
import gammaln from "@stdlib/math-base-special-gammaln";
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { quantile, tableOf } from "../../engine/numeric/cumulative.js";
import { fineRule } from "../../engine/numeric/fine.js";
import incompleteBeta from "./incomplete-beta.json";
import gammaRates from "./gamma-rates.json";
import logGamma from "./log-gamma.json";

const { jStat } = jstat;

describe(`incomplete beta — ${incompleteBeta.source}`, () => {
  test.each(incompleteBeta.cases)("$name by jStat, to 1e-7 and no better", ({ x, a, b, value }) => {
    expect(Math.abs(jStat.beta.cdf(x, a, b) / value - 1)).toBeLessThan(incompleteBeta.within.jStat.relative);
  });

  test("jStat misses 1e-8 on at least one of them: not to be used where nine digits are promised", () => {
    const worst = Math.max(...incompleteBeta.cases.map(({ x, a, b, value }) => Math.abs(jStat.beta.cdf(x, a, b) / value - 1)));
    expect(worst).toBeGreaterThan(1e-8);
  });

  test.each(incompleteBeta.cases)("$name: the engine's quantile gives its x back", ({ x, a, b, value }) => {
    const found = quantile(tableOf(fineRule(0, a, b, 0, DENSITY)), value);
    expect(Math.abs(found - x)).toBeLessThan(incompleteBeta.within.engine.absolute);
  });
});

describe(`log-gamma — ${logGamma.source}`, () => {
  test.each(logGamma.cases)("ln Γ($x) by jStat", ({ x, value }) => {
    expect(Math.abs(jStat.gammaln(x) / value - 1)).toBeLessThan(logGamma.within.jStat.relative);
  });
  test.each(logGamma.cases)("ln Γ($x) by @stdlib", ({ x, value }) => {
    expect(Math.abs(gammaln(x) / value - 1)).toBeLessThan(logGamma.within.stdlib.relative);
  });
  test.each([1, 2])("ln Γ(%d) is exactly 0 by @stdlib", (x) => expect(gammaln(x)).toBe(0));
});

describe(`gamma — ${gammaRates.source}`, () => {
  test.each(gammaRates.cases)("$name by jStat", ({ ask, at, failures, unitTime, printed, half, value }) => {
    const scale = 1 / unitTime;
    const found = ask === "cdf" ? jStat.gamma.cdf(at, failures, scale) : 1 / jStat.gamma.inv(at, failures, scale);
    expect(Math.abs(found - printed)).toBeLessThanOrEqual(half);
    expect(Math.abs(found / value - 1)).toBeLessThan(gammaRates.within.relative);
  });
});
