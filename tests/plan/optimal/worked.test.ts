/** Worked examples against the parts of the planner: repair order, information by the minute, how many starts. */
import { describe, expect, test } from "vitest";
import { startState, step } from "../../../engine/belief/fold.js";
import { findingTied } from "../../../engine/belief/compile.js";
import { modelOf } from "../../../engine/belief/model.js";
import { enumerateSets } from "../../../engine/belief/sets.js";
import type { Catalog, Finding } from "../../../engine/catalog/schema.js";
import { atomsOf, targetEntropy } from "../../../engine/plan/atoms.js";
import { LiveSets } from "../../../engine/plan/liveSets.js";
import { Finisher } from "../../../engine/plan/finish.js";
import { StartsInformation } from "../../../engine/plan/information.js";
import { findingInformation } from "../../../engine/plan/looks.js";
import { costOf } from "../../../engine/plan/minutes.js";
import { planOf, type StartsCandidate } from "../../../engine/plan/starts.js";
import { simpleTicket, type Simple } from "../../oracle/simple.js";

const named = (...ids: string[]) => ids.map((id) => ({ id, name: id }));

function stateOf(simple: Simple) {
  const ticket = simpleTicket({ unlisted: 0, maxCauses: 1, draws: 0, ...simple });
  return { ticket, state: startState(modelOf(ticket.catalog as Catalog, ticket)) };
}

describe("the order of repairs — Kadane & Simon 1977, Annals of Statistics 5:237; numbers made here for it", () => {
  /** Sure repairs, and a proof that nothing passes which is still at work. */
  function finishOf(chances: number[], costs: number[]) {
    const C = chances.length;
    const none = new Float64Array(C);
    const finisher = new Finisher({
      live: new LiveSets(enumerateSets(C, 1), [...Array(C + 1).keys()]),
      fixes: costs.map((cost, k) => ({ cost, clears: Float64Array.from(costs, (_, i) => Number(i === k)) })),
      proof: {
        quiet: none,
        returns: none,
        returnsNow: new Float64Array(C).fill(1),
        unlisted: { quiet: 0, returns: 0, returnsNow: 1 },
      },
      comeback: 1e6,
      giveBack: 1e6,
    });
    return finisher.of({ set: Float64Array.of(0, ...chances), unlisted: 0 });
  }

  test("P = (.4, .3, .2, .1), C = (20, 5, 10, 2): 2 and 4 first, 20.4 to the end", () => {
    const { order, repair, cost } = finishOf([0.4, 0.3, 0.2, 0.1], [20, 5, 10, 2]);
    expect(order.slice(0, 2)).toEqual([1, 3]); // the other two have the same ratio
    expect(order.slice(2).sort()).toEqual([0, 2]);
    expect(repair).toBeCloseTo(20.4, 12);
    expect(cost).toBe(repair);
  });

  test("P = (.5, .3, .2), C = (10, 4, 1): 3, 2, 1, and 9.2 to the end", () => {
    const { order, repair } = finishOf([0.5, 0.3, 0.2], [10, 4, 1]);
    expect(order).toEqual([2, 1, 0]);
    expect(repair).toBeCloseTo(9.2, 12);
  });
});

describe("information by the minute reverses the order — an example made here, recomputed", () => {
  /** Chance of "seen" with each cause at work: what brings it up beside the base of the least of them. */
  const look = (id: string, minutes: number, base: number, seen: number[]): Finding => ({
    id,
    name: id,
    on: "machine",
    values: named("seen", "not"),
    base: { seen: base },
    causes: Object.fromEntries(
      seen.map((p, i) => [`c${i + 1}`, { seen: Math.max(0, 1 - (1 - p) / (1 - base)) }]),
    ),
    minutes,
  });
  const looks = [
    look("t1", 10, 0.1, [0.9, 0.1, 0.1]),
    look("t2", 4, 0.05, [0.95, 0.95, 0.05]),
    look("t3", 2, 1e-9, [0.3, 1e-9, 1e-9]), // a base of 0 is not allowed
    look("t4", 1, 0.5, [0.5, 0.5, 0.5]),
  ];
  const odds = [0.5, 0.3, 0.2];
  const { state } = stateOf({
    causes: odds.map((o, i) => ({ id: `c${i + 1}`, p: o / (1 + o), rate: { fixed: 1 } })),
    nothing: 0,
    more: { findings: looks },
  });
  const bits = looks.map((finding) =>
    findingInformation(
      state.belief,
      atomsOf(state.belief, "active"),
      finding,
      findingTied(state.belief.model, state.place.setup, finding, undefined),
      "active",
    ),
  );

  test("bits of each look", () => {
    expect(targetEntropy(state.belief, "active")).toBeCloseTo(1.4854752972, 9);
    [0.5310044064, 0.4916143, 0.1691949, 0].forEach((known, k) => expect(bits[k]).toBeCloseTo(known, 6));
  });

  test("the first by bits is t1, by bits per minute t2", () => {
    const rates = bits.map(
      (b, k) => b / costOf(state, { kind: "finding", finding: looks[k]!, on: null }).fixed,
    );
    expect(bits.indexOf(Math.max(...bits))).toBe(0);
    expect(rates.indexOf(Math.max(...rates))).toBe(1);
    [0.0531004406, 0.1229036, 0.0845974, 0].forEach((known, k) => expect(rates[k]).toBeCloseTo(known, 6));
  });

  test.each([
    ["t1", "seen", [0.9, 0.06, 0.04]],
    ["t1", "not", [0.1, 0.54, 0.36]],
    ["t2", "seen", [0.616883, 0.37013, 0.012987]],
    ["t2", "not", [0.108696, 0.065217, 0.826087]],
  ])("%s %s", (finding, value, known) => {
    const { mass } = step(state, { id: "e", kind: "finding", finding, value }).belief;
    known.forEach((p, i) => expect(mass[2 * (i + 1) + 1]).toBeCloseTo(p, 6));
  });
});

describe("how many starts of an intermittent fault to plan — an example made here, recomputed", () => {
  const { state } = stateOf({
    causes: [{ id: "c1", p: 0.2, rate: { fixed: 0.3 } }],
    nothing: 0.5,
    more: {
      trialMinutes: 2,
      settings: [{ id: "path", name: "path", values: named("usual", "other"), default: "usual", minutes: 5 }],
    },
  });
  const row = (change: StartsCandidate["change"]) => {
    const candidate: StartsCandidate = { kind: "starts", change, repair: null, conditions: {} };
    const { fixed, perStart } = costOf(state, candidate);
    const plan = planOf(state, candidate);
    return Array.from({ length: 12 }, (_, k) => {
      const { bits } = new StartsInformation(state.belief, k + 1, "active").of(plan);
      return { n: k + 1, bits, rate: bits / (fixed + (k + 1) * perStart) };
    });
  };
  const best = (rows: ReturnType<typeof row>) => rows.reduce((top, one) => (one.rate > top.rate ? one : top));

  test("five minutes of setting up, two a start: five starts", () => {
    const { n, bits, rate } = best(row({ settings: { path: "other" } }));
    expect(n).toBe(5);
    expect(bits).toBeCloseTo(0.6528913597, 9);
    expect(rate).toBeCloseTo(0.0435260906, 9);
  });

  test("nothing to set up: one", () => {
    const { n, rate } = best(row(null));
    expect(n).toBe(1);
    expect(rate).toBeCloseTo(0.0845974275, 9);
  });
});
