import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { advise } from "../../engine/plan/advise.js";
import { movedBelief, movesOf, sensitivity } from "../../engine/plan/sensitivity.js";
import { presence } from "../../engine/belief/summary.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { SensitivityView } from "../../engine/weighing.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket, type Simple } from "../oracle/simple.js";
import { ticket as bench } from "./small.js";
import { after } from "./state.js";

/** Odds times a factor. */
const moved = (p: number, factor: number) => (factor * p) / (1 - p + factor * p);

/** The same ticket with one prior changed in its catalog: ν and u keep the rest of the shares in proportion. */
function withPrior(of: Simple, prior: string, factor: number): Simple {
  const [nu, u] = [of.nothing!, of.unlisted!];
  if (prior === "none") {
    const nothing = moved(nu, factor);
    return { ...of, nothing, unlisted: (u * (1 - nothing)) / (1 - nu) };
  }
  if (prior === "unlisted") {
    const unlisted = moved(u, factor);
    return { ...of, unlisted, nothing: (nu * (1 - unlisted)) / (1 - u) };
  }
  return { ...of, causes: of.causes.map((c) => (c.id === prior ? { ...c, p: moved(c.p, factor) } : c)) };
}

const one = fc.record({
  p: fc.double({ min: 0.02, max: 0.5, noNaN: true }),
  rate: fc.constantFrom({ fixed: 0.3 }, { hard: 0.2, a: 1, b: 1 }, { hard: 0, a: 0.5, b: 2 }),
  exposure: fc.constantFrom(0.5, 1, 2),
});
const cases = fc.record({
  causes: fc
    .array(one, { minLength: 1, maxLength: 4 })
    .map((list) => list.map((c, k) => ({ id: `c${k}`, ...c }))),
  nothing: fc.constantFrom(0.05, 0.4),
  unlisted: fc.constantFrom(0.02, 0.2),
  leak: fc.constantFrom(0.01, 0.1),
  entries: fc.tuple(fc.nat(3), fc.nat(6)).map(([stops, clean]) => [runs("e", stops, clean + 1)]),
});

describe("a prior moved is what the catalog would have given with it", () => {
  test("for every prior, up and down, in random small tickets", () => {
    fc.assert(
      fc.property(cases, (of) => {
        const { belief } = after(simpleTicket(of));
        for (const move of movesOf(belief)) {
          const engine = movedBelief(belief, move);
          const again = after(simpleTicket(withPrior(of, move.prior, move.factor))).belief;
          const [here, there] = [presence(engine).present, presence(again).present];
          here.forEach((p, i) => expect(Math.abs(p - there[i]!)).toBeLessThan(1e-9));
          expect(Math.abs(engine.mass[0]! - again.mass[0]!)).toBeLessThan(1e-9);
          expect(Math.abs(engine.unlistedMass - again.unlistedMass)).toBeLessThan(1e-9);
        }
      }),
      { numRuns: 25, seed: 3, endOnFailure: true },
    );
  });

  test("and the moves named are all those that change what leads", () => {
    fc.assert(
      fc.property(cases, (of) => {
        const { moves, leading, factor, p } = view(simpleTicket(of));
        expect(leads(of)[0]).toBe(leading);
        expect(Math.abs(leads(of)[1] - p)).toBeLessThan(1e-9);
        for (const prior of [...of.causes.map((c) => c.id), "none", "unlisted"])
          for (const by of [factor, 1 / factor]) {
            const [front, chance] = leads(withPrior(of, prior, by));
            const named = moves.find((m) => m.prior === prior && m.factor === by);
            if (front === leading) expect(named).toBe(undefined);
            else {
              expect(named?.leading).toBe(front);
              expect(Math.abs(named!.p - chance)).toBeLessThan(1e-9);
              expect(named!.former).toBeLessThanOrEqual(named!.p);
            }
          }
      }),
      { numRuns: 20, seed: 11, endOnFailure: true },
    );
  });
});

const view = (of: Ticket): SensitivityView => sensitivity(after(of), of, null);

/** What leads in a weighing, with its chance. */
function leads(of: Simple): [string, number] {
  const w = weighed(simpleTicket(of));
  const all: [string, number][] = [
    ...w.causes.map((c): [string, number] => [c.id, c.present.p]),
    ["none", w.none.p],
    ["unlisted", w.unlisted.p],
  ];
  return all.reduce((top, x) => (x[1] > top[1] ? x : top));
}

test("two causes alike but for their priors, 2 to 1: three times either way changes which leads", () => {
  // odds 0.2 and 0.1 of what shows alike: 2 : 1; three times the second is 2 : 3, a third of the first 2/3 : 1
  const rate = { fixed: 1 };
  const of: Simple = {
    causes: [
      { id: "a", p: 1 / 6, rate },
      { id: "b", p: 1 / 11, rate },
    ],
    nothing: 0,
    unlisted: 0,
    maxCauses: 1,
    entries: [runs("e", 1, 0)],
  };
  const { leading, p, moves } = view(simpleTicket(of));
  expect([leading, p]).toEqual(["a", expect.closeTo(2 / 3, 14)]);
  expect(moves.map((m) => [m.prior, m.leading, m.p, m.former])).toEqual([
    ["b", "b", expect.closeTo(3 / 5, 14), expect.closeTo(2 / 5, 14)],
    ["a", "b", expect.closeTo(3 / 5, 14), expect.closeTo(2 / 5, 14)],
  ]);
});

test("ten to one is not changed by three, and no move is named", () => {
  const rate = { fixed: 1 };
  const causes = [
    { id: "a", p: 0.5, rate },
    { id: "b", p: 1 / 11, rate },
  ];
  expect(view(simpleTicket({ causes, nothing: 0, unlisted: 0, maxCauses: 1 })).moves).toEqual([]);
});

test("a prior of nothing cannot be moved", () => {
  const causes = [{ id: "a", p: 0.5, rate: { fixed: 1 } }];
  const { belief } = after(simpleTicket({ causes, nothing: 0, unlisted: 0 }));
  expect(movesOf(belief).map((m) => m.prior)).toEqual(["a", "a"]);
});

describe("the next test", () => {
  const record: Ticket["entries"] = [
    {
      kind: "starts",
      id: "s",
      trials: [
        { outcome: "memory", n: 2 },
        { outcome: "clean", n: 3 },
      ],
    },
  ];
  const of = bench(record);
  const { sensitivity: told, next } = weighed(of, true);
  const ten = next!.tests.slice(0, 10);
  const rates = (tests: typeof ten) =>
    tests.flatMap(({ id, sizes }) =>
      sizes.filter((s) => s.n === 1).map((s) => ({ id, rate: s.bitsPerMinute })),
    );

  test("is of the ten leading ones the first by one start or look", () => {
    const best = rates(ten).reduce((top, x) => (x.rate > top.rate ? x : top));
    expect(told!.test).toBe(best.id);
  });

  test("and a move is said to change it where the ranking from the moved belief does, for what leads", () => {
    const state = after(of);
    const ids = ten.map((t) => t.id);
    const leading = ["none", "unlisted", ...told!.moves.filter((m) => m.test !== null).map((m) => m.prior)];
    let changed = 0;
    for (const move of movesOf(state.belief).filter((m) => leading.includes(m.prior))) {
      const again = advise({ ...state, belief: movedBelief(state.belief, move) }, of);
      const found = new Map(rates(again.tests.filter((t) => ids.includes(t.id))).map((x) => [x.id, x.rate]));
      const most = Math.max(...found.values());
      const named = told!.moves.find((m) => m.prior === move.prior && m.factor === move.factor)?.test ?? null;
      // of two that are alike either may be named
      expect(found.get(named ?? told!.test!)).toBeGreaterThan(most * (1 - 1e-8));
      if (named !== null) expect(found.get(told!.test!)).toBeLessThan(most * (1 - 1e-10));
      if (named !== null) changed++;
    }
    expect(changed).toBeGreaterThan(0);
  });

  test("is not asked without advice", () => expect(weighed(of).sensitivity).toBe(null));
});
