import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Finding, Reading } from "../../engine/catalog/schema.js";
import { candidatesOf } from "../../engine/plan/candidates.js";
import { atomsOf, targetEntropy, type Target } from "../../engine/plan/atoms.js";
import { findingInformation, readingInformation } from "../../engine/plan/looks.js";
import { findingTied, readingTied } from "../../engine/belief/compile.js";
import { weighed } from "../belief/weighed.js";
import { simpleTicket, type Simple } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { after } from "./state.js";

/** An even question: cause a, or nothing. */
const even: Simple = {
  causes: [{ id: "a", p: 0.5, rate: { fixed: 0.5 } }],
  nothing: 0.5,
  unlisted: 0,
  maxCauses: 1,
};

const reading = (more: Partial<Reading>): Reading => ({
  id: "r", name: "r", on: "machine", unit: "V", range: [0, 20],
  healthy: { mean: 5, sd: 0.1 }, causes: { a: { mean: 10, sd: 0.1, chance: 1 } }, slip: 0, minutes: 1,
  ...more,
}); // prettier-ignore
const finding = (more: Partial<Finding>): Finding => ({
  id: "f", name: "f", on: "machine", values: ["yes", "no"].map((id) => ({ id, name: id })),
  base: { yes: 1e-14 }, causes: { a: { yes: 1 } }, minutes: 1,
  ...more,
}); // prettier-ignore

const view = (of: Simple, kind: "reading" | "finding") =>
  weighed(simpleTicket(of), true).next!.tests.find((t) => t.kind === kind)!;
const read = (more: Partial<Reading>, of: Simple = even) =>
  view({ ...of, more: { readings: [reading(more)] } }, "reading");
const found = (more: Partial<Finding>, of: Simple = even) =>
  view({ ...of, more: { findings: [finding(more)] } }, "finding");

/** Entropy of a chance, bits. */
const h = (p: number) => -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);

test("on any small ticket a look tells at least nothing and at most all there is to know", () => {
  let looks = 0;
  fc.assert(
    fc.property(smallTicket, fc.constantFrom<Target[]>("active", "root"), (ticket, target) => {
      const state = after(ticket);
      const { belief, place } = state;
      const [atoms, most] = [atomsOf(belief, target), targetEntropy(belief, target)];
      for (const c of candidatesOf(state, ticket.entries)) {
        if (c.kind !== "finding" && c.kind !== "reading") continue;
        const bits =
          c.kind === "finding"
            ? findingInformation(
                belief,
                atoms,
                c.finding,
                findingTied(belief.model, place.setup, c.finding, c.on ?? undefined),
                target,
              )
            : readingInformation(
                belief,
                atoms,
                c.reading,
                readingTied(belief.model, place.setup, c.reading, c.on ?? undefined),
                target,
              );
        expect(bits).toBeGreaterThanOrEqual(0);
        expect(bits).toBeLessThanOrEqual(most + 1e-9);
        looks++;
      }
    }),
    { seed: 81, numRuns: 60, endOnFailure: true },
  );
  expect(looks).toBeGreaterThan(50);
});

describe("a reading", () => {
  test("far apart and without a slip settles an even question: one bit", () => {
    expect(read({}).bits).toBeCloseTo(1, 9);
  });

  test("that the cause does not shift tells nothing", () => {
    expect(read({ causes: { a: { mean: 5, sd: 0.1, chance: 1 } } }).bits).toBeLessThan(1e-12);
    expect(read({ causes: { a: { mean: 10, sd: 0.1, chance: 0 } } }).bits).toBeLessThan(1e-12);
  });

  test("shifted only half of the time tells what a yes in a quarter of all cases does: H(1/4) − H(1/2)/2", () => {
    expect(read({ causes: { a: { mean: 10, sd: 0.1, chance: 0.5 } } }).bits).toBeCloseTo(
      h(0.25) - h(0.5) / 2,
      9,
    );
  });

  test("tells less the likelier a slip", () => {
    const bits = [0, 0.01, 0.1, 0.5].map((slip) => read({ slip }).bits);
    expect(bits).toEqual([...bits].sort((x, y) => y - x));
    expect(bits[0]! - bits[1]!).toBeGreaterThan(1e-5);
  });

  test("at the very end of what the instrument can show is not half lost: a fan that stands still", () => {
    // as likely under 0 as over it, by its bell; the two are 15 sd apart
    const fan = read({
      unit: "rpm",
      range: [0, 5000],
      healthy: { mean: 1500, sd: 100 },
      causes: { a: { mean: 0, sd: 20, chance: 1 } },
    });
    expect(fan.bits).toBeCloseTo(1, 9);
    expect(fan.answers.reduce((sum, a) => sum + a.chance, 0)).toBeCloseTo(1, 9);
  });

  test("has three answers, below the band, in it and over it, which share out all the chance", () => {
    const { answers } = read({ band: { low: 4.75, high: 5.25 }, slip: 0.02 });
    // healthy: 2.5 sd to either side; from memory, 0.98758 of a normal distribution lie within 2.5 sd
    const inBand = 0.5 * (0.98 * 0.98758 + 0.02 * (0.5 / 20)) + 0.5 * 0.02 * (0.5 / 20);
    const chances = Object.fromEntries(answers.map((a) => [a.text, a.chance]));
    expect(Object.keys(chances).sort()).toEqual(["4.75 to 5.25 V", "over 5.25 V", "under 4.75 V"]);
    expect(Math.abs(chances["4.75 to 5.25 V"]! - inBand)).toBeLessThan(5e-6); // the five digits above
    expect(answers.reduce((sum, a) => sum + a.chance, 0)).toBeCloseTo(1, 9);
  });

  test("without a published band is taken as healthy within two standard deviations", () => {
    expect(read({}).answers.map((a) => a.text)).toContain("4.8 to 5.2 V");
  });
});

describe("a finding", () => {
  test("that only the cause brings up, and always, settles an even question", () => {
    expect(found({}).bits).toBeCloseTo(1, 9);
  });

  test("that half of the cases show, and no other machine: H(1/4) − H(1/2)/2", () => {
    expect(found({ causes: { a: { yes: 0.5 } } }).bits).toBeCloseTo(h(0.25) - h(0.5) / 2, 9);
  });

  test("that the cause has no part in tells nothing of the list", () => {
    expect(found({ base: { yes: 0.3 }, causes: { a: {} } }).bits).toBeLessThan(1e-12);
  });

  test("the answers are its values with their chances", () => {
    // yes: 1/2 · (1 − 0.9 · 0.5) + 1/2 · 0.1 = 0.325; then a has 0.275 / 0.325
    const { answers } = found({ base: { yes: 0.1 }, causes: { a: { yes: 0.5 } } });
    const yes = answers.find((a) => a.outcome === "yes")!;
    expect(yes.chance).toBeCloseTo(0.325, 14);
    expect(yes.effects[0]!.after).toBeCloseTo(0.275 / 0.325, 14);
    expect(answers.find((a) => a.outcome === "no")!.chance).toBeCloseTo(0.675, 14);
  });
});

test("for the root cause a look at what was cured tells less than it did: of a machine mended for certain, nothing", () => {
  const of: Simple = {
    ...even,
    more: {
      findings: [finding({})],
      repairs: [{ id: "mend", name: "mend", on: "machine", clears: { a: 1 }, minutes: 1 }],
    },
  };
  const bits = (repaired: boolean) => {
    const ticket = simpleTicket({
      ...of,
      entries: repaired ? [{ kind: "repair", id: "m", repair: "mend" }] : [],
    });
    return (
      weighed({ ...ticket, options: { ...ticket.options, target: "root" } }, true).next!.tests.find(
        (t) => t.finding,
      )?.bits ?? 0
    );
  };
  expect(bits(false)).toBeCloseTo(1, 9);
  expect(bits(true)).toBe(0);
});
