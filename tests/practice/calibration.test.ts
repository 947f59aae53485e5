/** How we know: a seeded slice of what `tests/campaign/calibration.ts` does on twenty thousand tickets. */
import { describe, expect, test } from "vitest";
import { calibrated, claimOf } from "./claims.js";
import { right, withOtherRates, withoutIntermittency } from "./models.js";
import { countsOf, ranksOf, withExactly } from "./ranks.js";
import { uniformity } from "./simulated.js";

const ours = right();
const SEED = 2;
const BINS = 10;
const single = withExactly(ours, 1);
/** Seconds where nothing else runs. */
const PATIENCE = { timeout: 240_000 };

describe("ranks of the true rate within its posterior are uniform (Talts et al. 2018)", PATIENCE, () => {
  const chance = (size: number, tickets: number) =>
    uniformity(countsOf(ranksOf(withExactly(ours, size), tickets, SEED), BINS)).p;

  test("one cause", () => expect(chance(1, 400)).toBeGreaterThan(0.001));
  test("two causes at once", () => expect(chance(2, 400)).toBeGreaterThan(0.001));

  test("an engine with another prior of the rates is seen", () => {
    const counts = countsOf(ranksOf(single, 250, SEED, withOtherRates(single)), BINS);
    expect(uniformity(counts).p).toBeLessThan(0.001);
  });
});

describe("of what the engine calls 90 %, 90 % is so", PATIENCE, () => {
  const claims = (tickets: number, believer = ours) =>
    Array.from({ length: tickets }, (_, k) => claimOf(ours, believer, SEED, k));

  test("one joint test over the deciles", () => expect(calibrated(claims(800)).p).toBeGreaterThan(0.001));

  test("an engine that knows no intermittency is seen to be wrong", () =>
    expect(calibrated(claims(500, withoutIntermittency())).p).toBeLessThan(0.001));
});
