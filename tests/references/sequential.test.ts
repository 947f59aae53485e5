/**
 * Two machines that differ in one cause of known rate are told apart by counting stops: the odds of the engine are then the
 * likelihood ratio, and testing until they leave a band is Wald's sequential test. Its thresholds, its operating
 * characteristic and its expected number of starts are published; no test of the same errors takes fewer.
 */
import { expect, describe, test } from "vitest";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { chanceOfSet } from "./likelihoods.js";
import reference from "./sequential.json";

const { good, bad, producer, consumer } = reference.plan;

/** ln of the odds that the cause is there after some stops among n starts; even odds before. */
function logOdds(stops: number, n: number): number {
  // the leak stops a good machine; leak and cause together stop a bad one
  const rate = { fixed: 1 - (1 - bad) / (1 - good) };
  const ticket = simpleTicket({
    causes: [{ id: "cause", p: 0.5, rate }],
    entries: n > 0 ? [runs("starts", stops, n - stops)] : [],
    nothing: 0.5,
    unlisted: 0,
    leak: good,
    maxCauses: 1,
  });
  const weighing = weighed(ticket);
  return Math.log(chanceOfSet(weighing, ["cause"]) / chanceOfSet(weighing, []));
}

/** Odds at which testing ends: for good, for bad. */
const ACCEPT = Math.log(consumer / (1 - producer));
const REJECT = Math.log((1 - consumer) / producer);

const gain = logOdds(1, 1);
const loss = logOdds(0, 1);
/** The same odds for any counts: each start adds its own. */
const after = (stops: number, n: number) => stops * gain + (n - stops) * loss;

/** Chance to accept, and expected starts, at a true chance to stop. */
function walked(p: number): { accepts: number; starts: number } {
  let open = new Map([[0, 1]]);
  let [accepts, starts] = [0, 0];
  for (let n = 1; n < 4000 && open.size > 0; n++) {
    const next = new Map<number, number>();
    for (const [stops, chance] of open) {
      starts += chance;
      for (const [now, q] of [
        [stops + 1, p],
        [stops, 1 - p],
      ] as const) {
        const odds = after(now, n);
        if (odds <= ACCEPT) accepts += chance * q;
        else if (odds < REJECT) next.set(now, (next.get(now) ?? 0) + chance * q);
      }
    }
    open = next;
  }
  return { accepts, starts };
}

describe(reference.source, () => {
  test("every start adds the same to the log odds, whatever came before", () => {
    for (const [stops, n] of [[0, 24], [1, 30], [2, 20], [3, 80]] as const) // prettier-ignore
      expect(logOdds(stops, n)).toBeCloseTo(after(stops, n), 9);
  });

  test("the lines between which testing goes on", () => {
    const { accept, reject, slope, within } = reference.lines;
    expect(Math.abs(ACCEPT / (gain - loss) - accept)).toBeLessThan(within);
    expect(Math.abs(REJECT / (gain - loss) - reject)).toBeLessThan(within);
    expect(Math.abs(-loss / (gain - loss) - slope)).toBeLessThan(within);
  });

  test("24 starts without a stop are the first that accept; two stops reject up to start 19, and at 20 just fall short", () => {
    const { firstAcceptance: n, secondRejection } = reference.printed;
    expect(logOdds(0, n)).toBeLessThanOrEqual(ACCEPT);
    expect(logOdds(0, n - 1)).toBeGreaterThan(ACCEPT);
    expect(logOdds(2, secondRejection - 1)).toBeGreaterThanOrEqual(REJECT);
    expect(logOdds(2, secondRejection)).toBeLessThan(REJECT);
  });

  test.each(reference.exact)("at a chance of $p: accepts $accepts, takes $starts starts", ({ p, accepts, starts }) => {
    const found = walked(p);
    expect(Math.abs(found.accepts - accepts)).toBeLessThan(reference.within);
    expect(Math.abs(found.starts - starts)).toBeLessThan(reference.within);
  });

  test.each(reference.wald)("no fewer than Wald's approximation at $p: $starts", ({ p, starts }) => {
    expect(walked(p).starts).toBeGreaterThanOrEqual(starts);
  });
});
