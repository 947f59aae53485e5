/** The race: every ticket ends, the accounts add up, the same seed gives the same figures, and the planner is cheaper. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { Catalog } from "../../engine/catalog/schema.js";
import { Bench } from "../../engine/practice/bench.js";
import { PRICES, type Prices } from "../../engine/practice/prices.js";
import { RACE, raceOf, raceRows, type RaceOptions, type Row } from "../../engine/practice/race.js";
import { customersUse, shopOf } from "../../engine/practice/shop.js";
import { STRATEGIES } from "../../engine/practice/strategies/index.js";
import type { Strategy } from "../../engine/practice/strategy.js";
import { workTicket } from "../../engine/practice/work.js";
import { World, WORLDS, type WorldId } from "../../engine/practice/worlds.js";
import { tryIt } from "../../engine/practice/strategies/moves.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import { catalog as small } from "./small.js";

const desktop = Catalog.parse(
  JSON.parse(readFileSync(new URL("../../priors/desktop.json", import.meta.url), "utf8")),
);
const shop = shopOf(small);
const terms = { maxCauses: 1, wrongBy: 3, prices: PRICES };
const rowsOf = (options: Partial<RaceOptions>, catalog: Catalog = small): Row[] => [
  ...raceRows(catalog, { ...RACE, ...options }),
];

describe.each(Object.keys(WORLDS) as WorldId[])("in the world %s", (world) => {
  const rows = rowsOf({ world, tickets: 12 });

  test("every strategy ends every ticket, and what it costs adds up", () => {
    expect(rows).toHaveLength(12);
    for (const { worked } of rows) {
      expect(worked).toHaveLength(STRATEGIES.length);
      for (const one of worked) {
        const ending = one.outcome !== "released" ? PRICES.returned : one.comeback ? PRICES.comeback : 0;
        expect(one.total).toBeCloseTo((one.minutes * 40) / 60 + one.money + ending, 9);
        expect(one.comeback && one.outcome !== "released").toBe(false);
      }
    }
  });

  test("the tickets are good ones, as a person would have written them", () => {
    const tickets = new World(small, shop, world, 1, terms);
    for (let k = 0; k < 4; k++) {
      const { ticket, state } = tickets.arrival(k);
      expect(checkTicket(state.belief.model.catalog, ticket)).toEqual([]);
      expect(state.belief.logEvidence).toBeGreaterThan(-Infinity);
    }
  });
});

describe("the same luck", () => {
  const options = { tickets: 10, strategies: ["elimination", "checklist", "information"] };

  test("the same seed gives the same figures, whoever else races and however the tickets are shared out", () => {
    const rows = rowsOf(options);
    const shared = [0, 1, 2].flatMap((from) => [...raceRows(small, { ...RACE, ...options }, from, 3)]);
    const figures = (all: Row[]) => raceOf(small, { ...RACE, ...options }, all).figures;
    expect(figures(shared)).toEqual(figures(rows));
    const alone = rowsOf({ ...options, strategies: ["checklist"] });
    expect(alone.map((r) => r.worked[0])).toEqual(rows.map((r) => r.worked[1]));
  });

  test("another seed gives others", () =>
    expect(rowsOf({ ...options, seed: 2 })).not.toEqual(rowsOf(options)));
});

/** Does what it is told, then hands over. */
const scripted = (actions: ReturnType<typeof tryIt>[], named: string[] = []): Strategy => ({
  id: "scripted",
  name: "scripted",
  *work() {
    yield* actions;
    return { kind: "release", named };
  },
});

/** A machine with one cause at work: the first of the world's tickets that has it. */
function arrivalWith(cause: string) {
  const world = new World(small, shop, "own", 1, terms);
  for (let k = 0; ; k++) {
    const arrival = world.arrival(k);
    const { truth, active } = arrival.machine;
    const ids = truth.causes.map((i) => truth.model.causes[i]!.id);
    if (ids.length === 1 && ids[0] === cause && active.length === 1) return arrival;
  }
}

describe("accounts", () => {
  const work = (
    cause: string,
    actions: ReturnType<typeof tryIt>[],
    named: string[] = [],
    prices: Prices = PRICES,
  ) => workTicket(arrivalWith(cause), scripted(actions, named), shop, prices);

  test("three starts as it is: 3 × 1.5 minutes and nothing else; cold ones 15 more each", () => {
    expect(work("weak-supply@s1", [tryIt(3, { stopEarly: false })])).toMatchObject({
      minutes: 4.5,
      money: 0,
      wrongParts: 0,
    });
    const cold = tryIt(2, { stopEarly: false, conditions: { rest: "cold" } });
    expect(work("weak-supply@s1", [cold]).minutes).toBe(33);
  });

  test("the supply exchanged for good, rightly: 6 out, 8 in, its price, no comeback, right by the part's name", () => {
    const priced = { ...small, parts: small.parts.map((p) => ({ ...p, price: 50 })) };
    const world = new World(priced, shopOf(priced), "own", 1, terms);
    const arrival = [...Array(200).keys()]
      .map((k) => world.arrival(k))
      .find(
        ({ machine: { truth } }) =>
          truth.causes.length === 1 && truth.model.causes[truth.causes[0]!]!.id === "weak-supply@s1",
      )!;
    const exchange = tryIt(0, { fit: { bay: "spare-supply" } });
    const worked = workTicket(arrival, scripted([exchange], ["s1"]), shopOf(priced), PRICES);
    expect(worked).toMatchObject({ minutes: 14, money: 50, wrongParts: 0, comeback: false, right: true });
    const module = workTicket(
      arrival,
      scripted([tryIt(0, { fit: { A1: "spare-module" } })], ["m1"]),
      shopOf(priced),
      PRICES,
    );
    expect(module).toMatchObject({ money: 50, wrongParts: 1, right: false });
  });

  test("a spare that was only tried costs its minutes and no money, one that was bought costs its restocking", () => {
    const priced = { ...small, parts: small.parts.map((p) => ({ ...p, price: 50 })) };
    const there = tryIt(0, { fit: { bay: "spare-supply" } });
    const back = tryIt(0, { fit: { bay: "s1" } });
    for (const [shelf, money, wrong] of [
      [["supply", "module"], 0, 0],
      [[], 15, 1],
    ] as const) {
      const bare = { ...shopOf(priced), shelf: [...shelf] };
      const world = new World(priced, bare, "own", 1, terms);
      const arrival = [...Array(200).keys()]
        .map((k) => world.arrival(k))
        .find(({ machine }) => machine.active.length === 0)!;
      expect(workTicket(arrival, scripted([there, back]), bare, PRICES)).toMatchObject({
        money,
        wrongParts: wrong,
        minutes: 28,
      });
    }
  });

  test("the budget and the minutes end a ticket that no strategy ends", () => {
    const forever: Strategy = {
      ...scripted([]),
      *work(known) {
        for (;;) known = yield tryIt(known.seen.clean < 0 ? 2 : 1);
      },
    };
    const arrival = arrivalWith("weak-supply@s1");
    expect(workTicket(arrival, forever, shop, PRICES).outcome).toBe("unresolved");
    const poor = workTicket(arrival, forever, shop, { ...PRICES, budget: 10 });
    expect(poor).toMatchObject({ outcome: "over budget", total: poor.minutes * (40 / 60) + PRICES.returned });
  });

  test("a repair that needs a start gets one, or is done the hard way", () => {
    const arrival = arrivalWith("weak-supply@s1");
    const hard = { ...arrival, machine: { ...arrival.machine, rates: [1] } };
    const bench = new Bench(hard, PRICES);
    const repair = small.repairs!.find((r) => r.id === "retrain")!;
    bench.do({
      kind: "do",
      candidate: { kind: "repair", change: null, repair: { repair, on: "m1" }, conditions: {} },
      n: 0,
      stopEarly: true,
    });
    expect(bench.minutes).toBe(3 + PRICES.tries * 1.5 + PRICES.hardWay);
    expect(bench.ticket.entries.slice(-2).map((e) => e.kind)).toEqual(["starts", "repair"]);
  });
});

const TICKETS = 10;

test("on the desktop the advice costs less than naive elimination, ticket for ticket the same machines", () => {
  const options = { tickets: TICKETS, strategies: ["elimination", "planner"] };
  const [naive, planner] = raceOf(desktop, { ...RACE, ...options }, rowsOf(options, desktop)).figures;
  expect(planner!.total.mean.value).toBeLessThan(naive!.total.mean.value);
  // handing every machine back untouched is no way to win either
  const nothing = scripted([]);
  const world = new World(desktop, shopOf(desktop), "own", RACE.seed, terms);
  const untouched = Array.from(
    { length: TICKETS },
    (_, k) => workTicket(world.arrival(k), nothing, shopOf(desktop), PRICES).total,
  );
  expect(planner!.total.mean.value).toBeLessThan(untouched.reduce((sum, x) => sum + x, 0) / TICKETS);
}, 180_000);

test("customers use a machine after a night off and for hours", () =>
  expect(customersUse(desktop)).toEqual({ rest: "cold", load: "hour" }));
