import { describe, expect, test } from "vitest";
import { runs, simpleTicket } from "../oracle/simple.js";
import { weighed } from "../belief/weighed.js";
import reference from "./clean-starts.json";

/** P(the fault is there | n clean starts), against nothing wrong alone. */
function still({ prior, rate }: (typeof reference.cases)[number], clean: number): number {
  const causes = [{ id: "fault", p: 0.5, rate: rate as { fixed: number } | { hard: number; a: number; b: number } }];
  // ν takes 1 − π of what is not unlisted; unlisted is left out again by conditioning
  const w = weighed(simpleTicket({ causes, maxCauses: 1, nothing: 0.9 * (1 - prior), unlisted: 0.1, entries: [runs("x", 0, clean)] }));
  const there = w.causes[0]!.present.p;
  return there / (there + w.none.p);
}

describe(`clean starts — ${reference.source}`, () => {
  test.each(reference.cases)("$name", (one) => {
    expect(Math.abs(still(one, one.clean) - one.posterior)).toBeLessThan(reference.within);
    if (one.before !== undefined) expect(Math.abs(still(one, one.clean - 1) - one.before)).toBeLessThan(reference.within);
  });
});
