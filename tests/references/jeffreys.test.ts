import { describe, expect, test } from "vitest";
import { runs, simpleTicket } from "../oracle/simple.js";
import { weighed } from "../belief/weighed.js";
import reference from "./jeffreys.json";

describe(`manifestation rates — ${reference.source}`, () => {
  test.each(reference.cases)("$stops stops in $starts starts: mean, 5 % and 95 % point", ({ stops, starts, mean, low, high }) => {
    const causes = [{ id: "on-demand", p: 0.3, rate: { hard: 0, a: 0.5, b: 0.5 } }];
    const ticket = simpleTicket({ causes, maxCauses: 1, entries: [runs("x", stops, starts - stops)] });
    const rate = weighed(ticket).causes[0]!.rate!;
    expect(Math.abs(rate.mean - mean)).toBeLessThan(reference.within.mean);
    expect(Math.abs(rate.low - low)).toBeLessThan(reference.within.quantile);
    expect(Math.abs(rate.high - high)).toBeLessThan(reference.within.quantile);
  });
});
