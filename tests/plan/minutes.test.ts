import { describe, expect, test } from "vitest";
import type { Candidate, Change } from "../../engine/plan/candidates.js";
import { costOf } from "../../engine/plan/minutes.js";
import type { Catalog, Repair } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { weighed } from "../belief/weighed.js";
import { simpleTicket } from "../oracle/simple.js";
import { catalog, ticket } from "./small.js";
import { after } from "./state.js";

const starts = (change: Change | null, conditions: Record<string, string> = {}): Candidate => ({
  kind: "starts",
  change,
  repair: null,
  conditions,
});
const cost = (change: Change | null, conditions: Record<string, string> = {}, entries: Entry[] = []) =>
  costOf(after(ticket(entries)), starts(change, conditions));

describe("handling: every part that moves", () => {
  test.each<[string, Change | null, number]>([
    ["nothing, for the machine as it is", null, 0],
    ["a module out", { fit: { A2: null } }, 0.5],
    ["a module elsewhere: out and in", { fit: { A1: "m2" } }, 0.5 + 0.5 + 1], // m1 out, m2 out, m2 in
    ["two modules changed round", { fit: { A1: "m2", A2: "m1" } }, 2 * (0.5 + 1)],
    ["a spare supply in place of the one that is in", { fit: { bay: "s2" } }, 6 + 10],
    ["a module tried in the donor", { in: "d1", fit: { A1: "m1" } }, 0.5 + 1],
    ["the processor out, cooler and all", { fit: { socket: null, crown: null } }, 5 + 3],
    // the board 20 + 40, the processor on it 5 + 8, the cooler on that 3 + 4, two modules 0.5 + 1 each
    ["another board, with all that it carries", { fit: { tray: "b2" } }, 60 + 13 + 7 + 3],
    ["a setting", { settings: { speed: "standard" } }, 3],
    [
      "two settings and a module out",
      { settings: { speed: "standard", outlet: "wall" }, fit: { A2: null } },
      3 + 1 + 0.5,
    ],
    ["a setting that holds already", { settings: { speed: "rated" } }, 0],
  ])("%s", (_, change, minutes) => expect(cost(change).fixed).toBeCloseTo(minutes, 12));

  test("from here, not from how it came in: on the way back only what is still out", () => {
    const away: Entry = { kind: "change", id: "c", fit: { A2: null, bay: "s2" } };
    expect(cost({ fit: { A2: "m2" } }, {}, [away]).fixed).toBe(1);
    expect(cost({ fit: { A2: "m2", bay: "s1" } }, {}, [away]).fixed).toBe(1 + 6 + 10);
  });

  test("home from the donor: out of it and in again", () => {
    const away: Entry = { kind: "change", id: "c", in: "d1", fit: { A1: "m1" } };
    expect(cost({ in: "own", fit: { A1: "m1" } }, {}, [away]).fixed).toBe(0.5 + 1);
  });
});

describe("each start", () => {
  test("takes a trial's minutes, and waiting is paid for every one", () => {
    expect(cost(null).perStart).toBe(2);
    expect(cost(null, { rest: "cold" }).perStart).toBe(2 + 30);
    expect(cost(null, { rest: "cold", load: "soak" }).perStart).toBe(2 + 30 + 15);
  });

  test("n of them cost n times as much, on top of the handling", () => {
    // a module out 0.5, then each cold start 32
    const stop: Entry = {
      kind: "starts",
      id: "s",
      conditions: { rest: "cold" },
      trials: [{ outcome: "dead" }],
    };
    const test = weighed(ticket([stop]), true).next!.tests.find(
      (t) => t.change?.fit?.["A2"] === null && t.conditions["rest"] === "cold",
    )!;
    expect(test.sizes.filter((s) => !s.stopEarly).map((s) => [s.n, s.minutes])).toEqual(
      [1, 2, 3, 4, 6, 8, 12].map((n) => [n, 0.5 + n * 32]),
    );
  });
});

test("a look takes its own minutes", () => {
  const [dust, rail] = [catalog.findings![0]!, catalog.readings![0]!];
  expect(costOf(after(ticket()), { kind: "finding", finding: dust, on: "A1" })).toMatchObject({
    fixed: 3,
    perStart: 0,
    money: 0,
  });
  expect(costOf(after(ticket()), { kind: "reading", reading: rail, on: "s1" })).toMatchObject({
    fixed: 4,
    perStart: 0,
    money: 0,
  });
});

test("the steps add up to the handling", () => {
  const { steps, fixed } = cost({ fit: { tray: "b2" }, settings: { speed: "standard" } });
  expect(steps.reduce((sum, s) => sum + s.minutes, 0)).toBe(fixed);
});

describe("money", () => {
  test("a part that would have to be bought costs its price, or its kind's", () => {
    expect(cost({ fit: { tray: "b2" } }).money).toBe(90);
    const parts = ticket().machine.parts.map((p) =>
      p.id === "b2" ? { id: "b2", kind: "board", atHand: false } : p,
    );
    const unpriced = { ...ticket(), machine: { ...ticket().machine, parts } };
    expect(costOf(after(unpriced), starts({ fit: { tray: "b2" } })).money).toBe(120);
  });

  test("what is at hand costs nothing", () => expect(cost({ fit: { bay: "s2" } }).money).toBe(0));

  test("a repair costs what it consumes and the chance of damage times what that would cost", () => {
    const repair: Repair = { ...catalog.repairs![1]!, cost: 4, damage: { chance: 0.02, cost: 150 } };
    const mended = costOf(after(ticket()), {
      kind: "repair",
      change: null,
      repair: { repair, on: null },
      conditions: {},
    });
    expect(mended.money).toBeCloseTo(4 + 0.02 * 150, 12);
    expect(mended.fixed).toBe(10);
  });

  /** Minutes with money of the test that buys the board. */
  const priced = (more: Partial<Ticket>) => {
    const { tests } = weighed({ ...ticket(), ...more }, true).next!;
    const { minutes, minutesWithMoney } = tests.find((t) => t.change?.fit?.["tray"] === "b2")!;
    return minutesWithMoney - minutes;
  };

  test("counts as minutes at the labour rate: the ticket's, else the catalog's", () => {
    expect(priced({})).toBeCloseTo(90, 10); // 60 an hour: one a minute
    expect(priced({ labourPerHour: 30 })).toBeCloseTo(180, 10);
  });

  test("is not counted where labour is free", () => expect(priced({ labourPerHour: 0 })).toBe(0));
});

test("cautions of everything that is handled are collected", () => {
  const cautions = ["static", "mains", "data"].map((id) => ({ id, text: id }));
  const careful: Catalog = {
    ...catalog,
    cautions,
    parts: catalog.parts.map((p) =>
      p.id === "board"
        ? { ...p, cautions: ["static"] }
        : p.id === "supply"
          ? { ...p, cautions: ["mains"] }
          : p,
    ),
    settings: catalog.settings!.map((s) => ({ ...s, cautions: ["data"] })),
  };
  const state = after(ticket([], { catalog: careful }));
  const of = (change: Change) => new Set(costOf(state, starts(change)).cautions);
  expect(of({ fit: { bay: "s2" } })).toEqual(new Set(["mains"]));
  expect(of({ fit: { tray: "b2" }, settings: { speed: "standard" } })).toEqual(new Set(["static", "data"]));
});

describe("a repair that needs a start which gets somewhere", () => {
  const repair: Repair = {
    id: "load",
    name: "load",
    on: "machine",
    clears: {},
    minutes: 10,
    needs: { reach: "clean" },
  };
  /** The steps of it, where the machine for certain has a cause that shows with a fixed rate; a trial is 1 minute. */
  const steps = (rate: number, reach = "clean") => {
    const state = after(
      simpleTicket({
        causes: [{ id: "a", p: 0.5, rate: { fixed: rate }, signature: { late: 1 } }],
        stages: ["early", "late"],
        nothing: 0,
        unlisted: 0,
        maxCauses: 1,
      }),
    );
    return costOf(state, {
      kind: "repair",
      change: null,
      repair: { repair: { ...repair, needs: { reach } }, on: null },
      conditions: {},
    }).steps;
  };

  test("a clean start one time in three: Σ (2/3)^j for j < 6 tries, and (2/3)^6 that six are not enough", () => {
    // (1 − (2/3)^6) / (1/3) = 3 · 665/729 = 2.7366…; (2/3)^6 = 64/729 = 8.8 %
    const [reaching, load] = steps(2 / 3);
    expect(reaching!.minutes).toBeCloseTo(3 * (665 / 729), 12);
    expect(reaching!.text).toContain("9 % that 6 are not enough");
    expect(load!.minutes).toBe(10);
  });

  test("it stops late, so what needs only to get past early has it at the first try", () => {
    expect(steps(2 / 3, "late")[0]!.minutes).toBeCloseTo(1, 12);
  });

  test("where it never starts, six tries are in vain", () => {
    expect(steps(1)[0]).toMatchObject({
      minutes: 6,
      text: expect.stringContaining("100 % that 6 are not enough") as string,
    });
  });

  test("a rate that is not known is integrated out: E[r^j] and not E[r]^j", () => {
    // r uniform: Σ 1/(j + 1) for j < 6 = 1 + 1/2 + … + 1/6 = 2.45
    const state = after(
      simpleTicket({
        causes: [{ id: "a", p: 0.5, rate: { hard: 0, a: 1, b: 1 } }],
        nothing: 0,
        unlisted: 0,
        maxCauses: 1,
      }),
    );
    const [reaching] = costOf(state, {
      kind: "repair",
      change: null,
      repair: { repair, on: null },
      conditions: {},
    }).steps;
    expect(reaching!.minutes).toBeCloseTo(2.45, 12);
  });

  test("is sought in the known setup where it comes soonest: with the module out", () => {
    // module b stops it whenever it is fitted, as the record shows; without it every start was clean
    const machine = simpleTicket({
      causes: [{ id: "b", p: 0.5, rate: { fixed: 1 }, part: true }],
      nothing: 0, unlisted: 0, maxCauses: 1,
      entries: [
        { kind: "starts", id: "1", trials: [{ outcome: "stop" }] },
        { kind: "change", id: "2", fit: { "place-b": null } },
        { kind: "starts", id: "3", trials: [{ outcome: "clean" }] },
        { kind: "change", id: "4", fit: { "place-b": "the-b" } },
      ],
    }); // prettier-ignore
    const [reaching] = costOf(after(machine), {
      kind: "repair",
      change: null,
      repair: { repair, on: null },
      conditions: {},
    }).steps;
    // 1 minute to take it out and 1 for the start, not 6 starts that all stop
    expect(reaching!.minutes).toBeCloseTo(2, 12);
  });
});
