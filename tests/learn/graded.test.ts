/** Starts at exposures of their own: closed forms, a plain sum, and what they teach. */
import { describe, expect, test } from "vitest";
import { logLikelihood, type Point } from "../../engine/learn/fit/betaBinomial.js";
import { gradedLikelihood, type Graded, type Group } from "../../engine/learn/fit/graded.js";
import { fit } from "../../engine/learn/fit/fit.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { drawBeta } from "../../engine/practice/streams.js";
import { start, tallyOf } from "./small.js";

const ticket = (
  onlyShown: boolean,
  ...groups: [exposure: number, stops: number, clean: number][]
): Graded => ({
  cause: 0,
  onlyShown,
  groups: groups.map(([exposure, stops, clean]): Group => ({ exposure, stops, clean })),
});

const POINTS: Point[] = [[-1.2, 0.3, 0.8], [-4, -2, -1], [0.5, 1, 3]]; // prettier-ignore

describe("the likelihood of a ticket", () => {
  test.each([[0, 5], [2, 3], [4, 0], [150, 350], [1, 0]] as const)("at exposure 1, %d stops and %d clean starts: that of the beta–binomial", (stops, clean) => {
    for (const onlyShown of stops > 0 ? [false, true] : [false])
      for (const x of POINTS) {
        const count = { stops, starts: stops + clean, onlyShown, weight: 1 };
        const [full, closed] = [gradedLikelihood(x, [ticket(onlyShown, [1, stops, clean])]), logLikelihood(x, [count])]; // prettier-ignore
        expect(Math.abs(full.value - closed.value)).toBeLessThan(1e-11);
        full.gradient.forEach((g, j) => expect(Math.abs(g - closed.gradient[j]!)).toBeLessThan(1e-9));
      }
  }); // prettier-ignore

  test("by hand: one stop at exposure 2 under Beta(1, 1) is 1 − ∫ (1 − r)² dr = 2/3, one of two at exposure ½ is 2/9", () => {
    const uniform: Point = [-60, 0, Math.log(2)];
    expect(Math.exp(gradedLikelihood(uniform, [ticket(false, [2, 1, 0])]).value)).toBeCloseTo(2 / 3, 12);
    // ∫ (√(1 − r) − (1 − r)) dr = 2/3 − 1/2
    expect(Math.exp(gradedLikelihood(uniform, [ticket(false, [0.5, 1, 1])]).value)).toBeCloseTo(1 / 6, 12);
  });

  test("against a plain sum over a million values of r", () => {
    const [a, b, hard] = [0.8, 1.6, 0.05];
    const x: Point = [Math.log(hard / (1 - hard)), Math.log(a / b), Math.log(a + b)];
    const one = ticket(false, [0.4, 1, 3], [1, 2, 2], [3, 1, 0]);
    const chance = (r: number) =>
      one.groups.reduce((p, g) => p * (1 - (1 - r) ** g.exposure) ** g.stops * (1 - r) ** (g.exposure * g.clean), 1); // prettier-ignore
    // r = u² takes the pole of the density at 0 away: dr r^(a − 1) = 2 u^(2a − 1) du
    let [sum, whole] = [0, 0];
    for (let k = 0; k < 1e6; k++) {
      const u = (k + 0.5) / 1e6;
      const density = 2 * u ** (2 * a - 1) * (1 - u * u) ** (b - 1);
      sum += density * chance(u * u);
      whole += density;
    }
    expect(Math.exp(gradedLikelihood(x, [one]).value) / ((1 - hard) * (sum / whole))).toBeCloseTo(1, 6);
  });

  test("the gradient is that of the value", () => {
    const tickets = [
      ticket(true, [0.5, 2, 3]),
      ticket(false, [2, 3, 0]),
      ticket(true, [0.3, 1, 0], [1.5, 1, 4]),
    ];
    for (const x of POINTS)
      gradedLikelihood(x, tickets).gradient.forEach((g, j) => {
        const moved = (d: number) =>
          gradedLikelihood(x.map((v, k) => (k === j ? v + d : v)) as Point, tickets).value;
        expect(Math.abs(g - (moved(1e-5) - moved(-1e-5)) / 2e-5)).toBeLessThan(1e-6);
      });
  });
});

test("300 tickets at exposures ¼ and ½ teach the rate that they were drawn from; taken as nominal ones they do not", () => {
  const uniform = seededUniform(5);
  const drawn = Array.from({ length: 300 }, () => {
    const r = drawBeta(1, 3, uniform());
    return ticket(false, ...([0.25, 0.5].map((exposure) => {
      const stops = [0, 0, 0, 0].reduce((n) => n + Number(uniform() < 1 - (1 - r) ** exposure), 0);
      return [exposure, stops, 4 - stops];
    }) as [number, number, number][])); // prettier-ignore
  });
  const meanOf = (graded: Graded[]) => {
    const rate = fit(start, { tally: tallyOf([]), unconfirmed: [], graded }).figures.rates[0]!;
    if ("fixed" in rate) throw new Error("rate: found a fixed one");
    return rate.hard + ((1 - rate.hard) * rate.a) / (rate.a + rate.b);
  };
  expect(Math.abs(meanOf(drawn) - 0.25)).toBeLessThan(0.05); // four standard errors: the mean of 300 of sd 0.19
  const nominal = drawn.map((t) => ({ ...t, groups: t.groups.map((g) => ({ ...g, exposure: 1 })) }));
  expect(Math.abs(meanOf(nominal) - 0.25)).toBeGreaterThan(0.08);
});
