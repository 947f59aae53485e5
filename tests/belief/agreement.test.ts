/**
 * The engine and the slow oracle, two readings of one model that share no code, give the same figures.
 *
 * Tolerances are those of `WITHIN`: 1e-9 on chances, log evidence and mean rates, 1e-8 on decibans of chances above 1e-6.
 * `tests/campaign/agreement.ts` does the same for thousands of tickets.
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { compare } from "../oracle/compare.js";
import { smallTicket } from "../oracle/tickets.js";
import { weighed } from "./weighed.js";

describe("engine and slow oracle agree", () => {
  test("on everything a weighing says, for 60 random small tickets", () => {
    fc.assert(
      fc.property(smallTicket, (ticket) => {
        const { differences, figures } = compare(ticket, weighed(ticket), false);
        expect(figures).toBeGreaterThan(10);
        expect(differences).toEqual([]);
      }),
      { seed: 20, numRuns: 60 },
    );
  }, 240_000);

  test("on the tails of the rates and the expected surprise, for 12 random small tickets", () => {
    fc.assert(
      fc.property(smallTicket, (ticket) => {
        expect(compare(ticket, weighed(ticket), true).differences).toEqual([]);
      }),
      { seed: 7, numRuns: 12 },
    );
  }, 240_000);

  test("and the comparison is not blind: a stop moved to another stage is noticed", () => {
    let noticed = 0;
    fc.assert(
      fc.property(smallTicket, (ticket) => {
        const other = structuredClone(ticket);
        const entry = other.entries.find((e) => e.kind === "starts" && e.trials.some((t) => t.outcome === "clean" && t.voided === undefined));
        if (entry?.kind !== "starts") return;
        entry.trials.find((t) => t.outcome === "clean" && t.voided === undefined)!.outcome = "dark";
        if (compare(ticket, weighed(other), false).differences.length > 0) noticed++;
        else noticed -= 1000;
      }),
      { seed: 3, numRuns: 10 },
    );
    expect(noticed).toBeGreaterThan(2);
  }, 120_000);
});
