import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Catalog } from "../../engine/catalog/schema.js";
import { homeSetup, homeUse, releaseTerms } from "../../engine/plan/home.js";
import { Comebacks, CURVE, release, type Comeback } from "../../engine/plan/release.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import type { ReleaseView } from "../../engine/weighing.js";
import { comeback } from "../oracle/release.js";
import { runs, simpleTicket, type Simple } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { weighed } from "../belief/weighed.js";
import { catalog, template, ticket as bench } from "./small.js";
import { after } from "./state.js";

const catalogOf = (of: Ticket) => of.catalog as Catalog;
const released = (of: Ticket): ReleaseView => release(after(of), of.entries, releaseTerms(catalogOf(of), of));

/** P(comeback | n clean starts as it is now on the bench). */
function comebackOf(of: Ticket): Comeback {
  const state = after(of);
  const { model } = state.belief;
  const terms = releaseTerms(catalogOf(of), of);
  const home = homeUse(model, state.place, homeSetup(model, state.place, of.entries), terms);
  return new Comebacks(state, home).after({ kind: "starts", change: null, repair: null, conditions: {} });
}

/** Some causes against nothing wrong; starts without end, so that whatever still shows comes back. */
const FOREVER = { perDay: 1000, days: 10000 };
const simple = (of: Simple, terms: Ticket["release"] = {}): Ticket => ({
  ...simpleTicket({ unlisted: 0, maxCauses: 1, ...of }),
  release: terms,
});
const fault = (rate: Simple["causes"][number]["rate"], nothing: number): Simple => ({
  causes: [{ id: "fault", p: 0.5, rate }],
  nothing,
});

describe("published numbers", () => {
  // π R^n / (π R^n + 1 − π) at π = 1/2 is within (1 − C) / (2 − C) where R^n is within 1 − C
  const within = (miss: number) => miss / (1 + miss);
  const SUCCESS: [reliability: number, confidence: number, n: number | null][] = [
    [0.8, 0.5, 4],
    [0.8, 0.8, 8],
    [0.8, 0.9, 11],
    [0.8, 0.95, 14],
    [0.8, 0.99, 21],
    [0.9, 0.5, 7],
    [0.9, 0.8, 16],
    [0.9, 0.9, 22],
    [0.9, 0.95, 29],
    [0.9, 0.99, 44],
    [0.95, 0.5, 14],
    [0.95, 0.8, 32],
    [0.95, 0.9, 45],
    [0.95, 0.95, 59],
    [0.95, 0.99, 90],
    [0.99, 0.5, 69],
    [0.99, 0.8, 161],
    [0.99, 0.9, 230],
    [0.99, 0.95, 299],
    [0.99, 0.99, 459],
    [0.999, 0.5, null], // 693
  ];
  test.each(SUCCESS)(
    "reliability %d at confidence %d takes %d clean starts — success-run numbers, standard handbooks, from memory",
    (reliability, confidence, n) => {
      const limit = within(1 - confidence);
      const of = simple(fault({ fixed: 1 - reliability }, 0.5), { ...FOREVER, limit });
      expect(released(of).here.needed).toBe(n);
    },
  );

  test.each([10, 20, 30, 50, 100])(
    "no failure in %d: 95 %% sure of a rate below 1 − 0.05^(1/n) — rule of three, Hanley & Lippman-Hand 1983, from memory",
    (n) => {
      const of = simple(fault({ fixed: 1 - 0.05 ** (1 / n) }, 0.5), { ...FOREVER, limit: within(0.05) });
      expect(released(of).here.needed).toBe(n);
    },
  );

  test.each([
    [0.5, 0.1, 0.05, 28, 0.0497320483, 0.0549541667],
    [0.5, 0.2, 0.01, 21, 0.009139079, 0.0113978073],
    [0.3, 0.25, 0.05, 8, 0.0411403848, 0.0541117865],
    [0.9, 0.05, 0.05, 101, 0.0481815495, 0.050589133],
    [0.2, 0.5, 0.01, 5, 0.007751938, 0.0153846154],
  ])(
    "π = %d, q = %d, limit %d: %d clean starts — rule of Breuer 1973 and Kamal & Page 1974, from memory; numbers ours",
    (prior, q, limit, n, chance, before) => {
      const of = simple(fault({ fixed: q }, 1 - prior), { ...FOREVER, limit });
      const { here } = released(of);
      expect(here.needed).toBe(n);
      const at = comebackOf(of);
      expect(Math.abs(at(n) - chance)).toBeLessThan(1e-10);
      expect(Math.abs(at(n - 1) - before)).toBeLessThan(1e-10);
    },
  );

  test("a rate known only as Beta(1, 1) takes 18, exactly at the limit, as Beta(2, 8) takes 29 — B(a, b + n)/B(a, b)", () => {
    const needed = (a: number, b: number) =>
      released(simple(fault({ hard: 0, a, b }, 0.5), { ...FOREVER, limit: 0.05 })).here.needed;
    expect([needed(1, 1), needed(2, 8)]).toEqual([18, 29]);
  });

  test("one further start after n clean ones fails with chance 1/(n + 2) — rule of succession, Laplace 1774, from memory", () => {
    const at = comebackOf(simple(fault({ hard: 0, a: 1, b: 1 }, 0), { perDay: 1, days: 1 }));
    for (const n of [0, 1, 10, 100, 500]) expect(at(n)).toBeCloseTo(1 / (n + 2), 12);
  });

  test("so many starts share one rate: of 30 after n clean ones some fail with chance 30/(n + 31), not 1 − (1 − 1/(n + 2))^30", () => {
    // 1 − E[(1 − r)^(n + 30)] / E[(1 − r)^n] = 1 − (n + 1)/(n + 31) under a uniform rate
    const at = comebackOf(simple(fault({ hard: 0, a: 1, b: 1 }, 0)));
    for (const n of [0, 9, 99]) expect(at(n)).toBeCloseTo(30 / (n + 31), 12);
  });
});

/** A small ticket with terms of its own, and what they are for the oracle. */
const USES = [
  { perDay: [{ conditions: {}, perDay: 1 }], days: 30 },
  { perDay: [{ conditions: { rest: "cold" }, perDay: 1 }, { conditions: {}, perDay: 3 }], days: 40 }, // prettier-ignore
  { perDay: [{ conditions: { load: "soak" }, perDay: 0.5 }, { conditions: {}, perDay: 2 }], days: 10 }, // prettier-ignore
];
const drawn = fc.sample(smallTicket, { seed: 31, numRuns: 14 }).map((of, k) => ({
  of: { ...of, release: USES[k % USES.length]! } satisfies Ticket,
  use: USES[k % USES.length]!.perDay.map((use) => ({
    conditions: use.conditions as Record<string, string>,
    starts: use.perDay * USES[k % USES.length]!.days,
  })),
}));

describe("engine and slow oracle agree to 1e-9 on the chance of a comeback", () => {
  test.each(drawn.map((x, k) => ({ ...x, k })))(
    "ticket $k",
    ({ of, use }) => {
      const here = { change: null, conditions: {} };
      const view = released(of);
      const at = comebackOf(of);
      expect(view.comeback).toBe(at(0));
      for (const n of [0, 60, ...(of.options!.maxCauses! < 2 ? [500] : [])])
        expect(Math.abs(at(n) - comeback(of, use, here, n))).toBeLessThan(1e-9);
      if (!view.best) return;
      const point = view.best.curve.findLast((x) => x.n <= view.best!.needed!)!;
      const oracle = comeback(of, use, view.best, point.n);
      expect(Math.abs(point.comeback - oracle)).toBeLessThan(1e-9);
      if (point.n === view.best.needed) expect(oracle).toBeLessThanOrEqual(view.limit + 1e-9);
    },
    60_000,
  );

  test("and the comparison is not blind: one clean start more is noticed", () => {
    const noticed = drawn.map(({ of, use }) => {
      const oracle = comeback(of, use, { change: null, conditions: {} }, 4);
      return Math.abs(comebackOf(of)(3) - oracle) > 1e-9;
    });
    expect(noticed.filter(Boolean).length).toBeGreaterThan(6);
  });
});

describe("laws", () => {
  const chance = fc.double({ min: 0.01, max: 0.6, noNaN: true });
  const rate = fc.oneof(
    fc.record({ fixed: fc.double({ min: 0.01, max: 1, noNaN: true }) }),
    fc.record({
      hard: fc.constantFrom(0, 0.2),
      a: fc.constantFrom(0.5, 1, 3),
      b: fc.constantFrom(0.7, 2, 9),
    }),
  );
  const causes = fc.array(fc.record({ p: chance, rate, exposure: fc.constantFrom(0.4, 1, 2) }), {
    minLength: 1,
    maxLength: 4,
  });
  const record = fc.record({ stops: fc.nat(3), clean: fc.nat(8), unlisted: fc.constantFrom(0, 0.1) });

  test("without a leak, clean starts in the owner's own setup never raise the chance", () => {
    fc.assert(
      fc.property(causes, record, (list, { stops, clean, unlisted }) => {
        const of = simple({
          causes: list.map((c, k) => ({ id: `c${k}`, ...c })),
          entries: stops + clean > 0 ? [runs("e", stops, clean)] : [],
          maxCauses: 2,
          unlisted,
        });
        const { here, comeback: now } = released(of);
        expect(here.curve[0]).toEqual({ n: 0, comeback: now });
        here.curve.forEach((point, k) => {
          expect(point.comeback).toBeGreaterThanOrEqual(0);
          expect(point.comeback).toBeLessThanOrEqual((here.curve[k - 1]?.comeback ?? 1) + 1e-12);
        });
      }),
      { numRuns: 25, seed: 5, endOnFailure: true },
    );
  });

  test("the chance after n clean starts is that of the record with those starts in it, now", () => {
    fc.assert(
      fc.property(causes, record, fc.nat(40), (list, { stops, clean, unlisted }, n) => {
        const with_ = (more: number): Ticket =>
          simple({
            causes: list.map((c, k) => ({ id: `c${k}`, ...c })),
            entries: [runs("e", stops, clean + 1), ...(more > 0 ? [runs("f", 0, more)] : [])],
            maxCauses: 2,
            unlisted,
            leak: 0.03,
          });
        expect(Math.abs(comebackOf(with_(0))(n) - comebackOf(with_(n))(0))).toBeLessThan(1e-9);
      }),
      { numRuns: 25, seed: 8, endOnFailure: true },
    );
  });

  test("with nothing at work it never comes back, whatever the leak", () => {
    const of = simple({ causes: [], nothing: 1, leak: 0.4, maxCauses: 0, entries: [runs("e", 2, 3)] });
    expect(released(of)).toMatchObject({ comeback: 0, nothingAtWork: 1, here: { needed: 0 }, best: null });
  });

  test("a cause that cannot show at the owner's does not come back, though it is at work on the bench", () => {
    const of = simple({
      causes: [{ id: "x", p: 0.5, rate: { fixed: 0.5 }, exposure: 'is("rest", "cold") ? 1 : 0' }],
      nothing: 0,
      more: { conditions: catalog.conditions! },
    });
    expect(released(of).comeback).toBe(0);
    expect(released(of).nothingAtWork).toBe(0);
  });

  test("more clean starts than 500 are said to be none", () => {
    const never = simple(fault({ fixed: 0.001 }, 0), { limit: 0.01 });
    expect(released(never).here).toMatchObject({ needed: null, minutes: null });
    expect(CURVE[0]).toBe(0);
    expect(CURVE.at(-1)).toBe(500);
  });
});

describe("terms", () => {
  const cold: Simple = {
    causes: [{ id: "x", p: 0.5, rate: { fixed: 0.1 }, exposure: 'is("rest", "cold") ? 1 : 0' }],
    nothing: 0.2,
    more: { conditions: catalog.conditions! },
  };

  test("cold starts and warm ones are counted apart", () => {
    // 10 cold starts of a fault that shows cold only, beside 30 warm ones: 0.8 (1 − 0.9^10)
    const perDay = [
      { conditions: { rest: "cold" }, perDay: 1 },
      { conditions: { rest: "warm" }, perDay: 3 },
    ];
    const view = released(simple(cold, { perDay, days: 10 }));
    expect(view.comeback).toBeCloseTo(0.8 * (1 - 0.9 ** 10), 14);
    expect(view).toMatchObject({ days: 10, use: perDay });
  });

  test("where it has failed cold, cold starts are proposed for the proof: as it is would tell nothing", () => {
    const entries: Entry[] = [{ ...runs("e", 2, 3), conditions: { rest: "cold" } } as Entry];
    const perDay = [{ conditions: { rest: "cold" }, perDay: 1 }];
    const view = released(simple({ ...cold, entries }, { perDay }));
    expect(view.here.needed).toBe(null);
    // after two stops it is there for sure unless repaired: nothing clears it
    expect(view.best).toBe(null);
    const before = released(
      simple({ ...cold, leak: 0.1, entries: entries.map((e) => ({ ...e })) }, { perDay }),
    );
    expect(before.here.needed).toBe(null);
    expect(before.best).toMatchObject({ conditions: { rest: "cold" }, change: null });
    expect(before.best!.title).toMatch(/^Start it cold, \d+ times, as it is\.$/);
    // 30 minutes of waiting and 1 of trial each
    expect(before.best!.minutes).toBe(31 * before.best!.needed!);
  });

  test("the ticket's win over the catalog's, each by itself; what neither says is one a day for 30 days and 5 %", () => {
    const own: Catalog = { ...catalog, release: { days: 60, limit: { value: 0.02, source: "invented" } } };
    expect(releaseTerms(catalog, bench())).toEqual({ use: [{ conditions: {}, perDay: 1 }], days: 30, limit: 0.05 }); // prettier-ignore
    expect(releaseTerms(own, bench([], { release: { days: 10, perDay: 2 } }))).toEqual({
      use: [{ conditions: {}, perDay: 2 }],
      days: 10,
      limit: 0.02,
    });
  });
});

describe("the machine at its owner's", () => {
  const entries = (...list: object[]) => list.map((e, k) => ({ id: `e${k}`, ...e }) as Entry);
  const home = (...list: object[]) => {
    const of = bench(entries(...list));
    const { belief, place } = after(of);
    return homeSetup(belief.model, place, of.entries);
  };

  test("has the parts that are fitted now and the settings it came with", () => {
    const setup = home({
      kind: "change",
      fit: { A1: "m3" },
      settings: { outlet: "wall", speed: "standard" },
    });
    expect(setup.fit).toMatchObject({ A1: "m3", A2: "m2" });
    expect(setup.settings).toEqual({ outlet: "strip", speed: "rated" });
  });

  test("keeps a setting that a repair has set", () => {
    expect(home({ kind: "repair", repair: "load-firmware" }).settings).toEqual({
      outlet: "strip",
      speed: "standard",
    });
  });

  test("has the part back that is being tried in another machine", () => {
    expect(home({ kind: "change", in: "d1", fit: { A1: "m1" } })).toMatchObject({ in: "own", fit: { A1: "m1" } }); // prettier-ignore
  });

  test("brings back what stands outside: a cause that only its outlet has is not cured at the wall", () => {
    const outside = template("outlet-strip", {
      exposure: 'is("outlet", "strip")',
      intermittency: { fixed: 1 },
    });
    const of = bench(entries({ kind: "change", settings: { outlet: "wall" } }, { kind: "starts", trials: [{ outcome: "clean", n: 50 }] }), {
      catalog: { ...catalog, causes: [outside], unlisted: 0, nothingWrong: 0.1, findings: [], readings: [], repairs: [] },
    }); // prettier-ignore
    const view = released(of);
    expect(view.nothingAtWork).toBe(1);
    expect(view.comeback).toBeCloseTo(0.9, 14);
    // clean starts at the wall say nothing; one at the strip says all
    expect(view.here.needed).toBe(null);
    expect(view.best).toMatchObject({ needed: 1, change: { settings: { outlet: "strip" } } });
  });
});

test("a weighing says it with advice, and says null without", () => {
  const of = bench(entriesOf());
  expect(weighed(of, true).release).toMatchObject({ days: 30, limit: 0.05, here: { conditions: {}, change: null } }); // prettier-ignore
  expect(weighed(of).release).toBe(null);
});

function entriesOf(): Entry[] {
  return [{ kind: "starts", id: "s", trials: [{ outcome: "memory", n: 1 }, { outcome: "clean", n: 4 }] }]; // prettier-ignore
}
