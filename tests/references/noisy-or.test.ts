import { describe, expect, test } from "vitest";
import { runs, simpleTicket } from "../oracle/simple.js";
import { logLikelihood } from "./likelihoods.js";
import reference from "./noisy-or.json";

describe(`several causes at once — ${reference.source}`, () => {
  test.each(reference.cases)("fever with $present: $fever", ({ present, fever }) => {
    const causes = Object.entries(reference.inhibition).map(([id, q]) => ({ id, p: 0.2, rate: { fixed: 1 - q } }));
    const with1 = (stops: number) => simpleTicket({ causes, maxCauses: 3, entries: [runs("x", stops, 1 - stops)] });
    expect(Math.abs(Math.exp(logLikelihood(with1(1), present)) - fever)).toBeLessThan(reference.within);
    expect(Math.abs(Math.exp(logLikelihood(with1(0), present)) - (1 - fever))).toBeLessThan(reference.within);
  });
});
