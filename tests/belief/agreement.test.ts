/**
 * The engine and the slow oracle, two readings of one model that share no code, give the same figures.
 *
 * Tolerances are those of `WITHIN`: 1e-9 on chances, log evidence, mean rates and bits, 1e-8 on decibans of chances
 * above 1e-6. `tests/campaign/agreement.ts` does the same for thousands of tickets. The tickets are drawn rather than
 * shrunk: what is wanted of a disagreement is all of its figures, and the oracle is slow.
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { compare, type Difference } from "../oracle/compare.js";
import { smallTicket } from "../oracle/tickets.js";
import { weighed } from "./weighed.js";

const drawn = (seed: number, numRuns: number) => fc.sample(smallTicket, { seed, numRuns });

/** Every difference, with the number of its ticket. */
function disagreements(tickets: Ticket[], deep: boolean): (Difference & { ticket: number })[] {
  return tickets.flatMap((ticket, k) => {
    const { differences, figures } = compare(ticket, weighed(ticket, deep), deep);
    expect(figures).toBeGreaterThan(10);
    return differences.map((x) => ({ ticket: k, ...x }));
  });
}

describe("engine and slow oracle agree", () => {
  test("on everything a weighing says, for 60 random small tickets", () => {
    expect(disagreements(drawn(20, 60), false)).toEqual([]);
  }, 240_000);

  // seed and number of the ticket: no leak under tempered stops, exposures of 0.02, a cause that left, rows that others explain,
  // stops that a cause cannot make alone, two roots of different rows
  test.each([
    [5, 96],
    [5, 194],
    [7, 106],
    [8, 39],
    [12, 26],
    [13, 142],
    [14, 205],
    [32, 70],
    [43, 498],
  ])(
    "on a ticket that a rule chosen by fewer tests got wrong (%d, %d)",
    (seed, number) => {
      expect(disagreements(drawn(seed, number + 1).slice(number), false)).toEqual([]);
    },
    60_000,
  );

  // points of a rule without weight, a repair that first brings back what is in a donor
  test.each([
    [33, 28],
    [33, 144],
  ])(
    "on rates' tails and the information of tests of a ticket that was got wrong (%d, %d)",
    (seed, number) => {
      expect(disagreements(drawn(seed, number + 1).slice(number), true)).toEqual([]);
    },
    60_000,
  );

  test("on rates' tails, expected surprise and the information of tests, for 15 random small tickets", () => {
    expect(disagreements(drawn(7, 15), true)).toEqual([]);
  }, 240_000);

  test("and the comparison is not blind: a clean start taken for a dark one is noticed every time", () => {
    const noticed = drawn(3, 20).flatMap((ticket) => {
      const other = structuredClone(ticket);
      const trials = other.entries.flatMap((e) => (e.kind === "starts" ? e.trials : []));
      const clean = trials.find((t) => t.outcome === "clean" && t.voided === undefined);
      if (!clean) return [];
      clean.outcome = "dark";
      return [compare(ticket, weighed(other), false).differences.length > 0];
    });
    expect(noticed.length).toBeGreaterThan(5);
    expect(noticed).toEqual(noticed.map(() => true));
  }, 120_000);
});
