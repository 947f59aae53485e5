/** Scores against published tables and a general-purpose package, and what the verdict says. */
import { describe, expect, test } from "vitest";
import { seededUniform } from "../../engine/numeric/random.js";
import { addForecast, brierParts, emptyBin, wilson } from "../../engine/learn/score/brier.js";
import { calibrate } from "../../engine/learn/score/calibration.js";
import { betaFigure, minutesAfter, rateAfter } from "../../engine/learn/fit/repairs.js";
import { tune } from "../../engine/learn/tune.js";
import { Gathered } from "../../engine/learn/gather.js";
import { cleanTickets, drawTruth, HABITS, type Habits } from "../../scenarios/past-tickets/draw.js";
import package_ from "../references/general-package.json";
import gamma from "../references/gamma-rates.json";
import rain from "../references/brier.json";
import { past, space, start } from "./small.js";

describe(`the Brier score and its parts — ${rain.source}`, () => {
  const bins = rain.forecast.map((y, k) => {
    const bin = emptyBin();
    addForecast(bin, y, true, rain.share[k]! * rain.observed[k]!);
    addForecast(bin, y, false, rain.share[k]! * (1 - rain.observed[k]!));
    return bin;
  });
  test.each(Object.entries(rain.parts))("%s is %d", (name, value) => {
    const found = brierParts(bins)[name as "brier"];
    expect(Math.abs(found - value)).toBeLessThan(rain.within.absolute);
  });
  test("reliability − resolution + uncertainty is the score, and nothing is left over within bins", () => {
    const { brier, reliability, resolution, uncertainty, within } = brierParts(bins);
    expect(Math.abs(reliability - resolution + uncertainty - brier)).toBeLessThan(1e-15);
    expect(Math.abs(within)).toBeLessThan(1e-15);
  });
  test("two forecasts in one bin, by hand: 0.2 and 0.4, the second came true", () => {
    const bin = emptyBin();
    addForecast(bin, 0.2, false);
    addForecast(bin, 0.4, true);
    const { brier, within, skill } = brierParts([bin]);
    expect(brier).toBeCloseTo((0.04 + 0.36) / 2, 14);
    // reliability (0.3 − 0.5)² − resolution 0 + uncertainty 0.25 is 0.29
    expect(within).toBeCloseTo(0.2 - 0.29, 14);
    expect(skill).toBeCloseTo(0.2, 14);
  });
});

describe(`intervals — ${package_.made}`, () => {
  test.each(package_.wilson)("Wilson, $k of $n", ({ k, n, z, low, high }) => {
    const found = wilson(k, n, z);
    expect(Math.abs(found.low - low)).toBeLessThan(1e-9);
    expect(Math.abs(found.high - high)).toBeLessThan(1e-9);
  });
  test.each(package_.betas)(
    "Beta($alpha, $beta), 5 and 95 %, to jStat's 1e-6",
    ({ alpha, beta, low, high }) => {
      const found = betaFigure(alpha, beta);
      expect(Math.abs(found.low / low - 1)).toBeLessThan(1e-6);
      expect(Math.abs(found.high / high - 1)).toBeLessThan(1e-6);
    },
  );
  test("minutes: with many repairs the mean is that of the log-normal through their logarithms", () => {
    const { mean, variance, draws } = package_.minutes;
    const many = 1e7;
    const sums = [many, many * mean, many * (variance + mean ** 2)] as const;
    expect(minutesAfter(10, [...sums]).value).toBeCloseTo(Math.exp(mean + variance / 2), 4);
    expect(minutesAfter(10, [0, 0, 0]).value).toBeCloseTo(10, 12);
    expect(draws.length).toBe(8);
  });
});

describe(`failure rates — ${gamma.source}`, () => {
  test("8.4.6: 2 failures in 1400 h and 2 more in 1900 h are Gamma(4, 3300)", () => {
    const { alpha, beta, low, high } = rateAfter(2, 1400, 2, 1900);
    expect([alpha, beta]).toEqual([4, 3300]);
    expect(low).toBeLessThan(4 / 3300);
    // its 10 % and 90 % points are the printed 80 % interval of the time between failures, 494 to 1891 h
    expect(1 / high).toBeLessThan(494);
    expect(1 / low).toBeGreaterThan(1891);
  });
});

describe("the verdict", () => {
  const gatheredFrom = (habits: Habits, count: number, isDated = true) => {
    const truth = drawTruth(start, habits, seededUniform(31));
    const gathered = new Gathered(space, isDated);
    for (const [k, ticket] of [...cleanTickets(start, truth, habits, count, 32)].entries())
      gathered.add(ticket, `T${k}`);
    return calibrate(start, gathered, {});
  };
  test("where the truth lies far from the catalog, tuning helps on tickets left out by time", () => {
    const found = gatheredFrom({ ...HABITS, bend: 1.2 }, 1500)!;
    expect(found).toMatchObject({ how: "time", helps: true, every: 1 });
    expect(found.low).toBeGreaterThan(0);
    expect(found.after.bits).toBeCloseTo(found.before.bits - found.gain, 10);
  });
  test("a fifth at a time where no days are told: every confirmed ticket is left out once", () => {
    const found = gatheredFrom({ ...HABITS, bend: 1.2 }, 500, false)!;
    expect(found.how).toBe("folds");
    expect(found.tickets).toBeGreaterThan(150);
  });
  test("where the last years are unlike those before, it makes things worse, and says so", () => {
    const gathered = new Gathered(space, true);
    for (let k = 0; k < 400; k++) {
      const cause = k < 300 ? 0 : 3; // slot contacts for three years, then outlet strips
      gathered.add(past({ cause, closed: `${2022 + Math.floor(k / 100)}-0${1 + (k % 9)}-15` }), `T${k}`);
    }
    expect(calibrate(start, gathered, {})).toMatchObject({ helps: false, how: "time" });
    const view = tune(gathered);
    expect(view.recommended).toBe(false);
    expect(view.verdict).toMatch(/^It makes things worse: −\d/);
  });
  test("few confirmed tickets decide nothing", () => expect(gatheredFrom(HABITS, 20)).toBeNull());
});
