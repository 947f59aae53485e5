import { describe, expect, test } from "vitest";
import type { Entry } from "../../engine/ticket/schema.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import reference from "./weight-of-evidence.json";

const { heads, repeats, scale, within } = reference;
/** So small that `unlisted` cannot move the tenth digit. */
const HARDLY = 1e-13;

describe(`weight of evidence — ${reference.source}`, () => {
  test("twenty heads in a row: 3.01 decibans each, 60.2 in all, from 1 : 10 000 to 104.8576 : 1 on", () => {
    // a fair coin shows heads half the time: the leak; a double-headed one always does
    const tosses = Array.from({ length: heads.tosses }, (_, k): Entry => runs(`toss${k}`, 1, 0));
    const nothing = heads.priorOddsAgainst / (heads.priorOddsAgainst + 1);
    const causes = [{ id: "double-headed", p: 0.5, rate: { fixed: 1 } }];
    const w = weighed(simpleTicket({ causes, leak: 0.5, maxCauses: 1, nothing, unlisted: 0, entries: tosses }));
    const ledger = w.entries.map((e) => e.ledger["double-headed"]!);
    for (const weight of ledger) expect(Math.abs(weight - heads.each)).toBeLessThan(within);
    expect(Math.abs(ledger.reduce((a, b) => a + b, 0) - heads.total)).toBeLessThan(within);
    expect(Math.abs(w.causes[0]!.decibans! - heads.posterior)).toBeLessThan(within);
    const { p } = w.causes[0]!.present;
    expect(Math.abs(p / (1 - p) - heads.odds)).toBeLessThan(1e-8);
    expect(ledger.map(Math.round)).toEqual(ledger.map(() => heads.printed.each));
    expect(Math.round(w.causes[0]!.decibans!)).toBe(heads.printed.posterior);
  });

  test("eleven repeats in 159 letters weigh 13.08 half-decibans", () => {
    // P(repeat | true) = 1 − (1 − ε)(1 − q) = 1/17 with ε = 1/26
    const q = 1 - (16 / 17) * (26 / 25);
    const causes = [{ id: "true", p: 0.5, rate: { fixed: q } }];
    const entries = [runs("letters", repeats.repeats, repeats.letters - repeats.repeats)];
    const w = weighed(simpleTicket({ causes, leak: 1 / 26, maxCauses: 1, nothing: 0.5, unlisted: HARDLY, entries }));
    const there = w.causes[0]!.present.p / w.none.p / (w.causes[0]!.prior / 0.5);
    expect(Math.abs(there - repeats.factor)).toBeLessThan(1e-8);
    expect(Math.abs(20 * Math.log10(there) - repeats.halfDecibans)).toBeLessThan(5e-5);
    expect(Math.abs(20 * Math.log10(there) - repeats.printedHalfDecibans)).toBeLessThan(0.5);
  });

  test("evens to five to four is 0.969 deciban", () => {
    const causes = [{ id: "it", p: 0.5, rate: { fixed: 1 } }];
    const w = weighed(simpleTicket({ causes, maxCauses: 1, nothing: 4 / 9, unlisted: 0 }));
    expect(Math.abs(w.causes[0]!.decibans! - scale.evensToFiveToFour)).toBeLessThan(within);
  });
});
