import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { State } from "../../engine/belief/fold.js";
import { candidatesOf } from "../../engine/plan/candidates.js";
import { targetEntropy, type Target } from "../../engine/plan/atoms.js";
import { StartsInformation } from "../../engine/plan/information.js";
import type { StartsPlan } from "../../engine/plan/leafSums.js";
import { isStarts, planOf, type StartsCandidate } from "../../engine/plan/starts.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { after } from "./state.js";

/** Rounding of a sum of some thousand terms. */
const WITHIN = 1e-12;
const TARGETS: Target[] = ["active", "root"];
const AS_IT_IS: StartsCandidate = { kind: "starts", change: null, repair: null, conditions: {} };

const bitsOf = (state: State, n: number, plan = planOf(state, AS_IT_IS), target: Target = "active") =>
  new StartsInformation(state.belief, n, target).of(plan).bits;

/** Some of the candidates that end in starts: the first, the last and a few between. */
function somePlans(ticket: Ticket, state: State, most = 5): StartsPlan[] {
  const all = candidatesOf(state, ticket.entries).filter(isStarts);
  const step = Math.max(1, (all.length - 1) / (most - 1));
  return all.filter((_, k) => Math.floor(k % step) === 0).map((c) => planOf(state, c));
}

const law = (holds: (ticket: Ticket, state: State) => void, seed: number, numRuns = 30) =>
  fc.assert(
    fc.property(smallTicket, (ticket) => holds(ticket, after(ticket))),
    { seed, numRuns, endOnFailure: true },
  );

describe("of any test on any small ticket", () => {
  test("information is at least 0 and at most all there is to know, and more starts never tell less", () => {
    let most3 = 0;
    law((ticket, state) => {
      const plans = somePlans(ticket, state);
      for (const target of TARGETS) {
        const most = targetEntropy(state.belief, target);
        const told = plans.map(() => 0);
        for (const n of [1, 2, 3]) {
          const information = new StartsInformation(state.belief, n, target);
          plans.forEach((plan, k) => {
            const { bits } = information.of(plan);
            expect(bits).toBeGreaterThanOrEqual(told[k]! - WITHIN);
            expect(bits).toBeLessThanOrEqual(most + WITHIN);
            told[k] = bits;
            most3 = Math.max(most3, bits);
          });
        }
      }
    }, 41);
    expect(most3).toBeGreaterThan(0.5); // not all of them were idle
  });

  test("counting the clean starts alone tells at most what their stages tell too", () => {
    let lost = 0;
    law((ticket, state) => {
      for (const target of TARGETS) {
        const [all, clean] = [
          new StartsInformation(state.belief, 3, target),
          new StartsInformation(state.belief, 3, target, undefined, "clean"),
        ];
        for (const plan of somePlans(ticket, state)) {
          const [full, part] = [all.of(plan).bits, clean.of(plan).bits];
          expect(part).toBeLessThanOrEqual(full + WITHIN);
          lost = Math.max(lost, full - part);
        }
      }
    }, 45);
    expect(lost).toBeGreaterThan(0.01);
  });

  test("the chances of all outcomes add up to 1", () => {
    law((ticket, state) => {
      const information = new StartsInformation(state.belief, 3, "active");
      for (const plan of somePlans(ticket, state)) {
        const { chance } = information.of(plan);
        const sum = chance.reduce((total, p, leaf) => total + p * information.space.multiplicity[leaf]!, 0);
        expect(Math.abs(sum - 1)).toBeLessThan(1e-9);
      }
    }, 42);
  });

  test("what was weighed before it does not matter", () => {
    law((ticket, state) => {
      const plans = somePlans(ticket, state);
      for (const target of TARGETS) {
        const shared = new StartsInformation(state.belief, 2, target);
        for (const plan of plans)
          expect(Math.abs(shared.of(plan).bits - bitsOf(state, 2, plan, target))).toBeLessThan(WITHIN);
      }
    }, 43);
  });

  test("root and active are one where nothing was repaired or moved", () => {
    let told = 0;
    law((ticket) => {
      const still = {
        ...ticket,
        entries: ticket.entries.filter((e) => e.kind !== "change" && e.kind !== "repair"),
      };
      const state = after(still);
      const [active, root] = TARGETS.map((target) => bitsOf(state, 2, planOf(state, AS_IT_IS), target));
      expect(Math.abs(active! - root!)).toBeLessThan(WITHIN);
      told += active!;
    }, 44);
    expect(told).toBeGreaterThan(0.1);
  });
});

describe("a test that nothing depends on", () => {
  const causes = [
    { id: "a", p: 0.2, rate: { hard: 0.1, a: 1, b: 2 } },
    { id: "b", p: 0.1, rate: { fixed: 0.4 } },
  ];
  const state = after(simpleTicket({ causes, leak: 0.05, unlisted: 0, entries: [runs("x", 2, 3)] }));
  const plan = planOf(state, AS_IT_IS);

  test("tells nothing", () => {
    expect(bitsOf(state, 3, { ...plan, exposure: new Float64Array(2) })).toBeLessThan(WITHIN);
    expect(bitsOf(state, 3, { ...plan, efficacy: new Float64Array(2).fill(1) })).toBeLessThan(WITHIN);
  });

  test("tells of the list as a whole where something unlisted might still show", () => {
    const open = after(simpleTicket({ causes, leak: 0.05, unlisted: 0.1 }));
    expect(bitsOf(open, 3, { ...planOf(open, AS_IT_IS), exposure: new Float64Array(2) })).toBeGreaterThan(
      0.01,
    );
  });
});

test("where a machine can stop at one stage only, the clean starts are all there is to count", () => {
  const state = after(
    simpleTicket({
      causes: [{ id: "a", p: 0.2, rate: { hard: 0.1, a: 1, b: 2 } }],
      leak: 0.05,
      entries: [runs("x", 2, 3)],
    }),
  );
  const clean = new StartsInformation(state.belief, 3, "active", undefined, "clean").of(
    planOf(state, AS_IT_IS),
  ).bits;
  expect(Math.abs(clean - bitsOf(state, 3))).toBeLessThan(WITHIN);
});

test("a start that is known in advance tells nothing, one that decides tells all", () => {
  const sure = (nothing: number) =>
    simpleTicket({ causes: [{ id: "a", p: 0.5, rate: { fixed: 1 } }], nothing, unlisted: 0, maxCauses: 1 });
  expect(bitsOf(after(sure(0)), 1)).toBe(0);
  expect(bitsOf(after(sure(0.5)), 1)).toBeCloseTo(1, 14); // one even question
});

test("splitting an outcome that tells nothing changes nothing", () => {
  // every cause that stops the machine does so at either half with the same chance
  const causes = [
    { id: "a", p: 0.2, rate: { hard: 0.1, a: 1, b: 2 } },
    { id: "b", p: 0.1, rate: { fixed: 0.4 } },
  ];
  const whole = { causes, unlisted: 0, maxCauses: 1 };
  const halves = causes.map((c) => ({ ...c, signature: { early: 0.3, late: 0.7 } }));
  for (const n of [1, 2, 3]) {
    const [one, two] = [whole, { ...whole, causes: halves, stages: ["early", "late"] }].map((x) =>
      bitsOf(after(simpleTicket(x)), n),
    );
    expect(one).toBeGreaterThan(0.01);
    expect(Math.abs(one! - two!)).toBeLessThan(WITHIN);
  }
});

/**
 * Two starts by brute force, over ordered pairs: the order tells nothing, so it is what the counts tell.
 *
 * A machine with one of: nothing, cause a (fixed rate 0.6, stops early), cause b (any rate from 0 to 1, stops early or
 * late alike), both, or something unlisted. The leak is 0.05, all of it early.
 */
describe("two starts, by hand over all nine pairs of outcomes", () => {
  const EARLY = 0, LATE = 1, CLEAN = 2; // prettier-ignore
  const OUTCOMES = [EARLY, LATE, CLEAN];
  const leak = 0.05;

  /** P(early), P(late), P(clean) when these causes show */
  const shown = (a: boolean, b: boolean): number[] => {
    const early = 1 - (1 - leak) * (a ? 0 : 1) * (b ? 0.5 : 1);
    const clean = (1 - leak) * (a ? 0 : 1) * (b ? 0 : 1);
    return [early, 1 - early - clean, clean];
  };

  /** P(x, y | a, b present): b's rate is the same in both starts, E[r²] = E[(1 − r)²] = 1/3 and E[r (1 − r)] = 1/6 */
  function pair(a: boolean, b: boolean, x: number, y: number): number {
    const start = (showsB: boolean, o: number) =>
      a ? 0.6 * shown(true, showsB)[o]! + 0.4 * shown(false, showsB)[o]! : shown(false, showsB)[o]!;
    if (!b) return start(false, x) * start(false, y);
    return (
      start(true, x) * start(true, y) / 3 + start(false, x) * start(false, y) / 3 +
      start(true, x) * start(false, y) / 6 + start(false, x) * start(true, y) / 6
    ); // prettier-ignore
  }

  /** Unlisted: 1/3 for the first; for the second (1/3 + 1)/2 if it is the same again, else (1/3)/2 */
  const unlistedPair = (x: number, y: number) => (1 / 3) * ((x === y ? 4 / 3 : 1 / 3) / 2);

  test("is what the engine says", () => {
    // p = 0.2 and 0.1: odds 1/4 and 1/9, of both 1/36; their sum 14/36 shares what ν = 0.1 and u = 0.05 leave
    const share = 0.85 / (14 / 36);
    const worlds: [number, (x: number, y: number) => number][] = [
      [0.1, (x, y) => pair(false, false, x, y)],
      [share / 4, (x, y) => pair(true, false, x, y)],
      [share / 9, (x, y) => pair(false, true, x, y)],
      [share / 36, (x, y) => pair(true, true, x, y)],
      [0.05, unlistedPair],
    ];
    let bits = 0;
    for (const x of OUTCOMES)
      for (const y of OUTCOMES) {
        const total = worlds.reduce((sum, [p, chance]) => sum + p * chance(x, y), 0);
        for (const [p, chance] of worlds)
          if (chance(x, y) > 0) bits += p * chance(x, y) * Math.log2(chance(x, y) / total);
      }
    const state = after(
      simpleTicket({
        causes: [
          { id: "a", p: 0.2, rate: { fixed: 0.6 }, signature: { early: 1 } },
          { id: "b", p: 0.1, rate: { hard: 0, a: 1, b: 1 }, signature: { early: 0.5, late: 0.5 } },
        ],
        stages: ["early", "late"],
        leak,
      }),
    );
    expect(bits).toBeGreaterThan(0.1);
    expect(Math.abs(bitsOf(state, 2) - bits)).toBeLessThan(WITHIN);
  });
});

test("Z is what is at work before the move: a move that cures for certain tells nothing of it", () => {
  const state = after(
    simpleTicket({
      causes: [{ id: "a", p: 0.5, rate: { fixed: 1 } }],
      nothing: 0.5,
      unlisted: 0,
      maxCauses: 1,
    }),
  );
  const plan = planOf(state, AS_IT_IS);
  expect(bitsOf(state, 1, { ...plan, efficacy: Float64Array.of(1) })).toBe(0);
  // a cure half the time: it stops in 1/4 of all cases, never when nothing was wrong: H(1/4) − H(1/2)/2
  const h = (p: number) => -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
  expect(bitsOf(state, 1, { ...plan, efficacy: Float64Array.of(0.5) })).toBeCloseTo(h(0.25) - h(0.5) / 2, 14);
});

test("the entropy of the target counts each active set once, whatever it was before", () => {
  // a repair that cures a half of the time: nothing at work 0.5 + 0.25, a 0.25; the root stays even
  const repairs = [{ id: "mend", name: "mend", on: "machine" as const, clears: { a: 0.5 }, minutes: 1 }];
  const ticket = simpleTicket({
    causes: [{ id: "a", p: 0.5, rate: { fixed: 1 } }],
    nothing: 0.5,
    unlisted: 0,
    maxCauses: 1,
    more: { repairs },
    entries: [{ kind: "repair", id: "r", repair: "mend" }],
  });
  const { belief } = after(ticket);
  expect(targetEntropy(belief, "active")).toBeCloseTo(2 - 0.75 * Math.log2(3), 14);
  expect(targetEntropy(belief, "root")).toBeCloseTo(1, 14);
});
