import { describe, expect, test } from "vitest";
import { modelOf } from "../../engine/belief/model.js";
import { startState } from "../../engine/belief/fold.js";
import type { Catalog, Finding } from "../../engine/catalog/schema.js";
import { StartsInformation } from "../../engine/plan/information.js";
import { planOf } from "../../engine/plan/starts.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket, type SimpleCause } from "../oracle/simple.js";
import reference from "./information.json";

const { within } = reference;
/** Base chances must be above 0: this one cannot reach the tenth digit. */
const HARDLY = 1e-14;

/** Causes of which exactly one holds, with these chances; nothing else is possible. */
const oneOf = (chances: readonly number[], rate: SimpleCause["rate"] = { fixed: 1 }): SimpleCause[] =>
  chances.map((p, k) => ({ id: `c${k}`, p: p / (p + 1), rate }));

const certain = { maxCauses: 1, nothing: 0, unlisted: 0 };

/** Bits of n starts of the machine as it is. */
function startBits(ticket: Ticket, n: number): number {
  const model = modelOf(ticket.catalog as Catalog, ticket);
  const state = startState(model);
  return new StartsInformation(state.belief, n, "active").of(planOf(state, { kind: "starts", change: null, repair: null, conditions: {} })).bits;
}

const bitsOf = (ticket: Ticket, id: string) => weighed(ticket, true).next!.tests.find((t) => t.finding?.id === id)!;

describe(`information — ${reference.source}`, () => {
  test.each(reference.channels)("one test of a unit that is $name: $bits bit", ({ faulty, falseAlarm, pass, bits, printed, faultyIfPass, faultyIfFail }) => {
    // 1 − (1 − ε)(1 − q) = chance that a faulty one fails
    const q = 1 - pass / (1 - falseAlarm);
    const make = (entries: Entry[]) =>
      simpleTicket({ causes: [{ id: "faulty", p: 0.5, rate: { fixed: q } }], leak: falseAlarm, maxCauses: 1, nothing: 1 - faulty, unlisted: 0, entries });
    const found = weighed(make([]), true).next!.tests.find((t) => t.kind === "starts")!.sizes.find((s) => s.n === 1)!.bits;
    expect(Math.abs(found - bits)).toBeLessThan(within.exact);
    expect(Math.abs(found - printed)).toBeLessThan(within.printed);
    expect(Math.abs(weighed(make([runs("x", 0, 1)])).causes[0]!.present.p - faultyIfPass)).toBeLessThan(within.exact);
    if (faultyIfFail) expect(Math.abs(weighed(make([runs("x", 1, 0)])).causes[0]!.present.p - faultyIfFail)).toBeLessThan(within.exact);
  });

  test.each(reference.symmetric)("a symmetric channel that errs with $f carries $capacity bit", ({ f, capacity }) => {
    const causes: SimpleCause[] = [{ id: "on", p: 0.5, rate: { fixed: 1 - f / (1 - f) } }];
    expect(Math.abs(startBits(simpleTicket({ causes, leak: f, maxCauses: 1, nothing: 0.5, unlisted: 0 }), 1) - capacity)).toBeLessThan(within.exact);
  });

  test.each(reference.entropies)("$name: $bits bits to learn", ({ chances, bits }) => {
    expect(Math.abs(weighed(simpleTicket({ causes: oneOf(chances), ...certain }), true).next!.entropy - bits)).toBeLessThan(within.exact);
  });

  test("twelve balls, one odd: weighing four against four tells most, log2 3", () => {
    const names = Array.from({ length: 12 }, (_, k) => k);
    // cause 2k: ball k is heavy; 2k + 1: it is light
    const causes = oneOf(Array<number>(24).fill(1 / 24));
    const weigh = (k: number): Finding => ({
      id: `w${k}`, name: `w${k}`, on: "machine", minutes: 1,
      values: ["left", "right", "level"].map((id) => ({ id, name: id })),
      base: { left: HARDLY, right: HARDLY },
      causes: Object.fromEntries(
        names.filter((b) => b < 2 * k).flatMap((b) => {
          const [heavy, light] = b < k ? ["left", "right"] : ["right", "left"];
          return [[`c${2 * b}`, { [heavy!]: 1 }], [`c${2 * b + 1}`, { [light!]: 1 }]];
        }),
      ),
    });
    const sizes = [1, 2, 3, 4, 5, 6];
    const ticket = simpleTicket({ causes, ...certain, more: { findings: sizes.map(weigh) } });
    const tests = weighed(ticket, true).next!.tests;
    const found = sizes.map((k) => tests.find((t) => t.finding?.id === `w${k}`)!.bits);
    sizes.forEach((k, j) => expect(Math.abs(found[j]! - reference.balls[String(k) as keyof typeof reference.balls])).toBeLessThan(within.exact));
    expect(Math.max(...found)).toBe(found[3]);
  });

  test("one hidden unit among 64 squares: the surprises add up to 6 bits whenever it is found", () => {
    const { count, hitAt, misses, hit, totalAfterHit } = reference.squares;
    const squares = Array.from({ length: count }, (_, k) => `s${k + 1}`);
    const causes = oneOf(Array<number>(count).fill(1 / count)).map((c, k) => ({ ...c, exposure: `is("square", "${squares[k]}")` }));
    const entries = squares.slice(0, hitAt).flatMap((square, k): Entry[] => [
      ...(k > 0 ? [{ kind: "change" as const, id: `aim${k + 1}`, settings: { square } }] : []),
      runs(`shot${k + 1}`, k + 1 === hitAt ? 1 : 0, k + 1 === hitAt ? 0 : 1),
    ]);
    const settings = [{ id: "square", name: "square", values: squares.map((id) => ({ id, name: id })), default: "s1", minutes: 1 }];
    const w = weighed(simpleTicket({ causes, ...certain, entries, more: { settings } }));
    const surprise = (move: number) => w.entries.find((e) => e.id === `shot${move}`)!.surprise!;
    const total = (move: number) => Array.from({ length: move }, (_, k) => surprise(k + 1)).reduce((a, b) => a + b, 0);
    for (const one of misses) {
      expect(Math.abs(surprise(one.move) - one.bits)).toBeLessThan(5e-7);
      expect(Math.abs(surprise(one.move) - one.printed)).toBeLessThan(1e-4);
      expect(Math.abs(total(one.move) - one.total)).toBeLessThan(5e-7);
    }
    expect(Math.abs(surprise(hitAt) - hit)).toBeLessThan(within.exact);
    expect(Math.abs(total(hitAt) - totalAfterHit)).toBeLessThan(within.exact);
  });
});

describe(`information by the minute — ${reference.source}`, () => {
  const { priors, entropy, tests, best } = reference.perMinute;
  const findings = tests.map(({ id, positive, minutes }): Finding => {
    const base = Math.max(HARDLY, Math.min(...positive));
    return {
      id, name: id, on: "machine", minutes,
      values: ["yes", "no"].map((v) => ({ id: v, name: v })),
      base: { yes: base },
      causes: Object.fromEntries(positive.map((p, k) => [`c${k}`, { yes: Math.max(0, 1 - (1 - p) / (1 - base)) }])),
    };
  });
  const ticket = simpleTicket({ causes: oneOf(priors), ...certain, more: { findings } });

  test.each(tests)("$id tells $bits bit in $minutes min", ({ id, bits, perMinute, minutes }) => {
    const found = bitsOf(ticket, id);
    expect(Math.abs(found.bits - bits)).toBeLessThan(within.posterior);
    expect(found.minutes).toBe(minutes);
    expect(Math.abs(found.bitsPerMinute - perMinute)).toBeLessThan(within.posterior);
  });

  test("the most bits and the most bits a minute are different tests", () => {
    const next = weighed(ticket, true).next!;
    expect(Math.abs(next.entropy - entropy)).toBeLessThan(within.exact);
    const ranked = next.tests.filter((t) => t.finding);
    expect(ranked[0]!.finding!.id).toBe(best);
    expect([...ranked].sort((x, y) => y.bits - x.bits)[0]!.finding!.id).toBe("T1");
  });

  test.each(tests.filter((t) => t.ifPositive))("posteriors after $id, either way", ({ id, ifPositive, ifNegative }) => {
    for (const [value, wanted] of [["yes", ifPositive], ["no", ifNegative]] as const) {
      const w = weighed({ ...ticket, entries: [{ kind: "finding", id: "x", finding: id, value }] });
      wanted!.forEach((p, k) => expect(Math.abs(w.causes.find((c) => c.id === `c${k}`)!.present.p - p)).toBeLessThan(within.posterior));
    }
  });

  test("with 5 minutes of handling and 2 a start, five starts tell most by the minute", () => {
    const { prior, shows, handling, each, best: five, bits, perMinute, oneWithoutHandling } = reference.repeats;
    const it = simpleTicket({ causes: [{ id: "c", p: 0.5, rate: { fixed: shows } }], maxCauses: 1, nothing: 1 - prior, unlisted: 0 });
    const rate = (n: number, before: number) => startBits(it, n) / (before + n * each);
    expect(Math.abs(startBits(it, five) - bits)).toBeLessThan(within.exact);
    expect(Math.abs(rate(five, handling) - perMinute)).toBeLessThan(within.exact);
    const all = Array.from({ length: 12 }, (_, k) => rate(k + 1, handling));
    expect(all.indexOf(Math.max(...all)) + 1).toBe(five);
    expect(Math.abs(rate(1, 0) - oneWithoutHandling)).toBeLessThan(within.exact);
  });
});
