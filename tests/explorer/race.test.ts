/** The race in the page: shared out, counted, stopped; and what its charts draw. */
import type { Mark, PlotOptions } from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { catalogWith } from "../../engine/practice/changed.js";
import { RACE, raceOf, raceRows, type RaceOptions, type Row } from "../../engine/practice/race.js";
import type { Worked } from "../../engine/practice/work.js";
import { raceEndingsChart } from "../../explorer/charts/race-endings.js";
import { ENDINGS, meanOf, raceBars, raceEndings } from "../../explorer/charts/race-rows.js";
import { raceSpread } from "../../explorer/charts/race-spread.js";
import { RunningRace } from "../../explorer/race/race.svelte.js";
import type { Told } from "../../explorer/race/shared.js";
import type { Share } from "../../explorer/race/worker.js";
import { catalog } from "../practice/small.js";

const options: RaceOptions = { ...RACE, tickets: 7, strategies: ["elimination", "checklist"] };

/** A worker in the same thread, which does its share when the test says so. */
function workers() {
  const made: { share: Share | null; ended: boolean; tell(told: Told<Row>): void; run(): void }[] = [];
  const make = () => {
    const worker = {
      onmessage: null as ((event: MessageEvent<Told<Row>>) => void) | null,
      onerror: null,
      postMessage: (share: Share) => void (own.share = share),
      terminate: () => void (own.ended = true),
    };
    const own = {
      share: null as Share | null,
      ended: false,
      tell: (told: Told<Row>) => worker.onmessage?.({ data: told } as MessageEvent<Told<Row>>),
      run() {
        const { catalog, options, from, stride } = own.share!;
        for (const row of raceRows(catalog, options, from, stride)) own.tell({ row });
        own.tell({ done: true });
      },
    };
    made.push(own);
    return worker as unknown as Worker;
  };
  return { made, make };
}

describe("a running race", () => {
  test("shared out among three workers it adds up to the race of one", () => {
    const { made, make } = workers();
    const running = new RunningRace(3, make, () => 0);
    running.start({ catalog, options });
    expect([running.state, made.length]).toEqual(["running", 3]);
    for (const worker of made) worker.run();
    expect(running.state).toBe("done");
    expect(running.race).toEqual(raceOf(catalog, options, [...raceRows(catalog, options)]));
  });

  test("stopped, it ends its workers and is the race of the tickets that are done, up to the first in work", () => {
    const { made, make } = workers();
    const running = new RunningRace(2, make, () => 0);
    running.start({ catalog, options });
    const rows = [...raceRows(catalog, options)];
    for (const k of [0, 2, 4]) made[0]!.tell({ row: rows[k]! });
    for (const k of [1, 5]) made[1]!.tell({ row: rows[k]! });
    running.stop();
    expect([running.state, made.every((w) => w.ended)]).toEqual(["stopped", true]);
    expect(running.rows.map((row) => row.ticket)).toEqual([0, 1, 2]);
    const three = { ...options, tickets: 3 };
    expect(running.race).toEqual(raceOf(catalog, three, [...raceRows(catalog, three)]));
  });

  test("a worker that fails is said", () => {
    const { made, make } = workers();
    const running = new RunningRace(1, make, () => 0);
    running.start({ catalog, options });
    made[0]!.tell({ failure: "no such cause" });
    expect([running.state, running.failure]).toEqual(["failed", "no such cause"]);
  });
});

describe("charts", () => {
  const worked = (total: number, over: Partial<Worked> = {}): Worked => ({
    outcome: "released", minutes: 10, money: 0, wrongParts: 0, comeback: false, right: true, total, actions: 1, ...over,
  }); // prettier-ignore
  const rows: Row[] = [
    { ticket: 0, worked: [worked(10), worked(40, { comeback: true })] },
    { ticket: 1, worked: [worked(30, { wrongParts: 2 }), worked(20, { outcome: "returned" })] },
  ];
  const names = ["first", "second"];
  const dataOf = (options: PlotOptions) =>
    (options.marks as Mark[]).map((mark) => [
      ...((mark as unknown as { data: Iterable<unknown> | null }).data ?? []),
    ]);

  test("every strategy's bars add up to all of its tickets, on the same edges", () => {
    for (const measure of ["total", "minutes", "money", "wrongParts"] as const) {
      const bars = raceBars(rows, names, measure);
      for (const name of names) {
        const own = bars.filter((bar) => bar.strategy === name);
        expect(own.reduce((sum, bar) => sum + bar.share, 0)).toBeCloseTo(1, 12);
        expect(own.map((bar) => bar.from)).toEqual(
          bars.filter((b) => b.strategy === names[0]).map((b) => b.from),
        );
      }
    }
    expect(raceBars([], names, "total")).toEqual([]);
    expect(meanOf(rows, 0, "total")).toBe(20);
  });

  test("or more stands only where there is more", () => {
    const more = (of: readonly Row[]) =>
      raceBars(of, names, "total")
        .filter((bar) => bar.orMore)
        .map((bar) => [bar.strategy, bar.share > 0]);
    expect(more(rows)).toEqual([]); // of a few tickets none is folded into the last bar
    const many = Array.from({ length: 100 }, () => rows[1]!);
    expect(more([rows[0]!, ...many])).toEqual([["second", true]]);
  });

  test("endings are shares of the tickets", () => {
    const endings = raceEndings(rows, names);
    expect(endings.filter((e) => e.share > 0)).toEqual([
      { strategy: "first", ending: "stayed away", share: 1 },
      { strategy: "second", ending: "came back", share: 0.5 },
      { strategy: "second", ending: "given back", share: 0.5 },
    ]);
    expect(dataOf(raceEndingsChart(endings, 400))).toContainEqual(endings);
    expect(raceEndingsChart(endings, 400).color?.domain).toEqual([...ENDINGS]);
  });

  test("the spread draws the bars and a mark at each mean", () => {
    const bars = raceBars(rows, names, "total");
    const means = [
      { strategy: "first", mean: 20 },
      { strategy: "second", mean: 30 },
    ];
    const drawn = dataOf(raceSpread(bars, means, "cost", 400));
    expect(drawn).toContainEqual(bars);
    expect(drawn).toContainEqual(means);
  });
});

test("a fault that shows half as often: hard half as likely, the mean of the others halved, as sure as before", () => {
  const moved = catalogWith(catalog, { labourPerHour: 75, showing: 0.5 });
  expect(moved.labourPerHour).toBe(75);
  moved.causes.forEach(({ intermittency: now }, k) => {
    const old = catalog.causes[k]!.intermittency;
    if ("fixed" in old || "fixed" in now) return;
    expect(now.hard).toBe(old.hard / 2);
    expect(now.a + now.b).toBeCloseTo(old.a + old.b, 12);
    expect(now.a / (now.a + now.b)).toBeCloseTo(old.a / (old.a + old.b) / 2, 12);
  });
  expect(catalogWith(catalog, { labourPerHour: null, showing: 1 })).toEqual(catalog);
});
