import { describe, expect, test } from "vitest";
import { runs, simpleTicket } from "../oracle/simple.js";
import { logLikelihood } from "./likelihoods.js";
import reference from "./beta-binomial.json";

/** ln of n over k: the engine weighs starts in order, the printed figures count them. */
const logChoose = (n: number, k: number) => {
  let log = 0;
  for (let j = 1; j <= k; j++) log += Math.log((n - k + j) / j);
  return log;
};

describe(`beta–binomial likelihoods — ${reference.source}`, () => {
  test.each(reference.cases)("$name", ({ a, b, rows, sequences, counts }) => {
    let ordered = 0;
    let counted = 0;
    for (const [stops, starts, times] of rows as [number, number, number][]) {
      const ticket = simpleTicket({ causes: [{ id: "it", p: 0.3, rate: { hard: 0, a, b } }], maxCauses: 1, entries: [runs("x", stops, starts - stops)] });
      const log = logLikelihood(ticket, ["it"]);
      ordered += times * log;
      counted += times * (log + logChoose(starts, stops));
    }
    const { absolute } = reference.within;
    if (sequences !== undefined) expect(Math.abs(ordered - sequences)).toBeLessThan(absolute);
    if (counts !== undefined) expect(Math.abs(counted - counts)).toBeLessThan(absolute);
  });
});
