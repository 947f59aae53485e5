/** The account of a figure must come out at the figure. */
import { expect, test } from "vitest";
import { howFinish, howSuspects, howTest, oddsOf } from "../../explorer/bench/how.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { aTest, finish } from "./small.js";

const weighing = weighed(
  simpleTicket({
    causes: [{ id: "it", p: 0.2, rate: { hard: 0, a: 1, b: 1 } }],
    entries: [runs("one", 2, 1)],
    leak: 0.01,
  }),
);
const number = (text: string) => Number(text.replace("−", "-").replace("+", ""));

test("prior and entries add up to the odds now, and the odds are the chance", () => {
  const said = oddsOf(weighing.causes[0]!, weighing);
  const [prior, added, now] = [...said.matchAll(/([+−][\d.]+) dban/g)].map((match) => number(match[1]!));
  expect(Math.abs(prior! + added! - now!)).toBeLessThan(0.11); // each is rounded to a tenth
  const chance = Number(/that is ([\d.]+) %/.exec(said)![1]) / 100;
  expect(chance).toBeCloseTo(weighing.causes[0]!.present.p, 3);
  expect(10 * Math.log10(chance / (1 - chance))).toBeCloseTo(now!, 0);
});

test("the record's chance is said in bits", () => {
  expect(howSuspects(weighing)[0]).toContain(`to the power of ${(-weighing.evidenceBits).toFixed(1)}.`);
});

test("the steps and the starts of a test add up to its minutes, and bits over minutes to its rate", () => {
  const steps = [{ text: "Fit the spare module.", minutes: 3 }];
  const advice = { target: "active" as const, entropy: 1.5, tests: [], dropped: 0, finish };
  const [time, , rate] = howTest({ ...aTest, steps, money: 4, minutesWithMoney: 8 }, advice);
  // 3 for the module, 6 in all, so 3 for the starts
  expect(time).toContain("Fit the spare module 3 min + the starts themselves 3 min = 6 min");
  expect(rate).toContain("0.50 divided by 8 min, money counted as minutes at the labour rate (2 min)");
});

test("an estimate and a bound say that they are", () => {
  const advice = { target: "root" as const, entropy: 1.5, tests: [], dropped: 0, finish };
  expect(howTest({ ...aTest, bitsError: 0.01 }, advice)[1]).toContain("give or take 0.010");
  expect(howTest({ ...aTest, atLeast: true }, advice)[1]).toContain("can only add to it");
});

test("the cost to the end names its prices and its proof", () => {
  const said = howFinish(finish, (x) => `${x} crowns`).join(" ");
  for (const part of ["0.8 crowns", "90 crowns", "350 crowns", "4 clean starts", "310 crowns less"]) expect(said).toContain(part); // prettier-ignore
});
