import { describe, expect, test } from "vitest";
import type { Catalog } from "../../engine/catalog/schema.js";
import { SIZES, STOPPING } from "../../engine/plan/batches.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import type { TestView } from "../../engine/weighing.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { createWeigher } from "../../engine/weigh.js";
import { catalog, ticket } from "./small.js";

const record: Entry[] = [
  {
    kind: "starts",
    id: "s",
    trials: [
      { outcome: "memory", n: 2 },
      { outcome: "clean", n: 3 },
    ],
  },
];
const next = (of: Ticket = ticket(record)) => weighed(of, true).next!;
const rates = (tests: readonly TestView[]) => tests.map((t) => t.bitsPerMinute);

test("the next tests can be had before the rest, and are the same", () => {
  const of = ticket(record);
  const weigher = createWeigher(of.catalog as Catalog);
  const asked = [weigher.weigh(of, { advice: "next" }), weigher.weigh(of)];
  const [first, all] = asked.map((x) => ("weighing" in x ? x.weighing : null));
  expect([first?.release, first?.sensitivity]).toEqual([null, null]);
  expect([all?.release, all?.sensitivity]).not.toContain(null);
  expect(first?.next?.tests.length).toBeGreaterThan(10);
  expect(all?.next).toBe(first?.next);
  // but not those of another record
  const more = weigher.weigh(ticket([...record, runs("more", 0, 3, "memory")]), { advice: "next" });
  expect("weighing" in more && more.weighing.next).not.toEqual(first?.next);
});

describe("the ranking", () => {
  const { tests } = next();

  test("is by bits a minute, money counted", () => {
    expect(tests.length).toBeGreaterThan(10);
    for (const t of tests) expect(t.bitsPerMinute).toBeCloseTo(t.bits / t.minutesWithMoney, 14);
    expect(rates(tests)).toEqual(rates(tests).sort((x, y) => y - x));
  });

  test("names every test once, and says of each but the first why it is not first", () => {
    expect(new Set(tests.map((t) => t.id)).size).toBe(tests.length);
    expect(tests.map((t) => t.whyNot !== null)).toEqual(tests.map((_, k) => k > 0));
  });

  test("takes of each test the number of starts that tells most by the minute, and says if it tells at least that", () => {
    for (const { kind, n, stopEarly, bits, atLeast, bitsPerMinute, sizes } of tests) {
      if (kind === "finding" || kind === "reading") continue;
      expect(sizes.filter((s) => !s.stopEarly).map((s) => s.n)).toEqual([...SIZES]);
      expect(sizes.filter((s) => s.stopEarly).map((s) => s.n)).toEqual(STOPPING);
      const chosen = sizes.find((s) => s.n === n && s.stopEarly === stopEarly);
      expect(chosen).toMatchObject({ bits, bound: atLeast, bitsPerMinute });
      expect(bitsPerMinute).toBe(Math.max(...sizes.map((s) => s.bitsPerMinute)));
    }
  });

  test("holds every option of the finish, a repair for which a part goes back in first too", () => {
    const moved: Entry = { kind: "change", id: "out", fit: { A1: null } };
    for (const entries of [record, [...record, moved]]) {
      const { tests: all, finish } = next(ticket(entries));
      const ids = new Set(all.map((t) => t.id));
      const named = finish.options.flatMap(({ test: id }) => id ?? []);
      expect(named.filter((id) => !ids.has(id))).toEqual([]);
      expect(ids.size).toBe(all.length);
    }
    const { tests: all } = next(ticket([...record, moved]));
    expect(all.filter((t) => t.change !== null && t.repair !== null).length).toBeGreaterThan(0);
  });

  test("changes when labour is dear or cheap only by what costs money", () => {
    const free = next({ ...ticket(record), labourPerHour: 0 });
    const place = (of: readonly TestView[]) => of.findIndex((t) => t.change?.fit?.["tray"] === "b2");
    expect(place(free.tests)).toBeLessThan(place(tests));
    const cheap = (of: readonly TestView[]) => of.filter((t) => t.money === 0).map((t) => t.id);
    expect(cheap(free.tests)).toEqual(cheap(tests));
  });

  test("is the same when all minutes are counted in seconds", () => {
    const MINUTES = ["insert", "remove", "minutes", "trialMinutes", "wait"];
    const seconds = JSON.parse(JSON.stringify(catalog), (key, value: unknown) =>
      MINUTES.includes(key)
        ? 60 * (value as number)
        : key === "labourPerHour"
          ? (value as number) / 60
          : value,
    ) as Catalog;
    const other = next(ticket(record, { catalog: seconds })).tests;
    expect(other.map((t) => t.id)).toEqual(tests.map((t) => t.id));
    other.forEach((t, k) => expect(t.bitsPerMinute * 60).toBeCloseTo(tests[k]!.bitsPerMinute, 12));
  });
});

test("more starts never tell less, nor more than there is to know, whether weighed in full or by the clean ones alone", () => {
  const { tests, entropy } = next();
  for (const { sizes } of tests) {
    for (const s of sizes) expect(s.bits).toBeLessThanOrEqual(entropy + 4 * s.bitsError + 1e-9);
    for (const stopEarly of [false, true]) {
      const bounds = sizes.filter((x) => x.bound && x.stopEarly === stopEarly);
      bounds.forEach((s, k) => expect(s.bits).toBeGreaterThanOrEqual((bounds[k - 1]?.bits ?? 0) - 1e-12));
    }
  }
});

test("one start and two are weighed exactly for every test", () => {
  for (const { sizes } of next().tests)
    for (const s of sizes.filter((x) => x.n <= 2 && !x.stopEarly))
      expect([s.bound, s.bitsError]).toEqual([false, 0]);
});

test("what is asked for is told: the root cause, or what is at work", () => {
  const root = next(ticket(record, { options: { maxCauses: 1, draws: 0, target: "root" } }));
  expect([next().target, root.target]).toEqual(["active", "root"]);
});

test("five minutes of handling and two a start: one start alone does not pay for the handling", () => {
  // an even question, shown half of the time: what tells is whether any of n stopped, P = (1 − 2^−n)/2
  const parts = [{ id: "a", name: "a", insert: 4, remove: 1 }];
  const positions = [
    { id: "here", name: "here", kind: "here", accepts: "a" },
    { id: "there", name: "there", kind: "there", accepts: "a" },
  ];
  const base = simpleTicket({
    causes: [{ id: "a", p: 0.5, rate: { fixed: 0.5 } }],
    nothing: 0.5,
    unlisted: 0,
    maxCauses: 1,
    more: { parts, positions, trialMinutes: 2 },
  });
  const moved = { ...base, machine: { ...base.machine, parts: [{ id: "x", kind: "a", position: "here" }] } };
  const { tests } = next(moved);
  const handled = tests.find((t) => t.change?.fit?.["there"] === "x")!;
  const h = (p: number) => (p === 0 || p === 1 ? 0 : -p * Math.log2(p) - (1 - p) * Math.log2(1 - p));
  // I = H((1 − 2^−n)/2) − H(2^−n)/2; a row that ends at its first stop tells as much, in fewer starts: half of the
  // machines run all n, the others 2 (1 − 2^−n) of them
  const bits = (n: number) => h(0.5 * (1 - 2 ** -n)) - 0.5 * h(2 ** -n);
  const starts = (n: number) => 0.5 * n + 1 - 2 ** -n;
  const rate = (n: number) => bits(n) / (5 + 2 * (n === 1 ? 1 : starts(n)));
  const best = SIZES.reduce<number>((top, n) => (rate(n) > rate(top) ? n : top), 1);
  expect(best).toBeGreaterThan(1);
  expect([handled.n, handled.stopEarly]).toEqual([best, true]);
  expect(handled.bits).toBeCloseTo(bits(best), 12);
  expect(handled.minutes).toBeCloseTo(5 + 2 * starts(best), 12);
});

test("cautions of what is handled stand with the test", () => {
  const careful: Catalog = {
    ...catalog,
    cautions: [
      { id: "mains", text: "never open it", danger: true },
      { id: "static", text: "wear the strap" },
    ],
    parts: catalog.parts.map((p) => (p.id === "supply" ? { ...p, cautions: ["mains"] } : p)),
  };
  const { tests } = next(ticket(record, { catalog: careful }));
  const of = (part: string) => tests.find((t) => Object.values(t.change?.fit ?? {}).includes(part))!.cautions;
  expect(of("s2")).toEqual([{ text: "never open it", danger: true }]);
  expect(of("m3")).toEqual([]);
});

test("once the culprit is certain nothing more can be learned, and every test but the first says so", () => {
  // a stop without a leak convicts the only cause there is
  const causes = [{ id: "a", p: 0.5, rate: { fixed: 0.5 }, part: true }];
  const { tests } = next(
    simpleTicket({ causes, nothing: 0.5, unlisted: 0, maxCauses: 1, entries: [runs("x", 1, 0)] }),
  );
  expect(tests.length).toBeGreaterThan(1);
  for (const t of tests) expect(t.bits).toBeLessThan(1e-12);
  expect(tests.slice(1).map((t) => t.whyNot)).toEqual(tests.slice(1).map(() => "would tell nothing now"));
});
