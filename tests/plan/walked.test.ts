import fc from "fast-check";
import { expect, test } from "vitest";
import { StartsInformation } from "../../engine/plan/information.js";
import { planOf } from "../../engine/plan/starts.js";
import { walkedInformation } from "../../engine/plan/walked.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { after } from "./state.js";

const plain = { kind: "starts", change: null, repair: null, conditions: {} } as const;

/** The mean of walks from many seeds, with the standard error that they claim together. */
function pooled(ticket: Parameters<typeof after>[0], n: number, target: "active" | "root", seeds = 40) {
  const state = after(ticket);
  const plan = planOf(state, plain);
  const counted = new StartsInformation(state.belief, n, target, undefined, "clean");
  const walks = Array.from({ length: seeds }, (_, seed) => walkedInformation(counted, plan, seed));
  const exact = new StartsInformation(state.belief, n, target).of(plan).bits;
  const bits = walks.reduce((sum, w) => sum + w.bits, 0) / seeds;
  return { exact, bits, error: Math.sqrt(walks.reduce((sum, w) => sum + w.error ** 2, 0)) / seeds };
}

const ticket = simpleTicket({
  causes: [
    { id: "a", p: 0.2, rate: { hard: 0.1, a: 1, b: 2 }, signature: { early: 1 } },
    { id: "b", p: 0.1, rate: { fixed: 0.4 }, signature: { late: 1 } },
    { id: "c", p: 0.1, rate: { hard: 0.5, a: 0.5, b: 3 }, signature: { early: 0.5, late: 0.5 } },
  ],
  stages: ["early", "late"],
  leak: 0.01,
  entries: [runs("x", 1, 3, "early")],
});

test.each([2, 4, 8])(
  "of %d starts, walks from many seeds agree with the exact value within 4 standard errors",
  (n) => {
    const { exact, bits, error } = pooled(ticket, n, "active");
    expect(exact).toBeGreaterThan(0.1);
    expect(error).toBeLessThan(exact / 4);
    expect(Math.abs(bits - exact)).toBeLessThan(4 * error);
  },
);

test("the claimed error is no excuse: a hundredth of it would not do", () => {
  const misses = [2, 4, 8].filter((n) => {
    const { exact, bits, error } = pooled(ticket, n, "active");
    return Math.abs(bits - exact) > 0.01 * error;
  });
  expect(misses).not.toEqual([]);
});

test("on random small tickets too, whatever was moved and repaired, for both targets", () => {
  fc.assert(
    fc.property(smallTicket, fc.constantFrom("active", "root"), (random, target) => {
      const { exact, bits, error } = pooled(random, 3, target, 20);
      expect(Math.abs(bits - exact)).toBeLessThan(4 * error + 1e-9);
    }),
    { seed: 51, numRuns: 12, endOnFailure: true },
  );
});

test("the same seed walks the same way", () => {
  const state = after(ticket);
  const counted = new StartsInformation(state.belief, 6, "active", undefined, "clean");
  const walk = (seed: number) => walkedInformation(counted, planOf(state, plain), seed);
  expect(walk(3)).toEqual(walk(3));
  expect(walk(3).bits).not.toBe(walk(4).bits);
});
