import { describe, expect, test } from "vitest";
import type { Catalog } from "../../engine/catalog/schema.js";
import { decide, decideFrom, decisions, type Decision } from "../../engine/plan/decide.js";
import { Ranking } from "../../engine/plan/rank.js";
import { idOf } from "../../engine/plan/words.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { runs, simpleTicket, type Simple } from "../oracle/simple.js";
import { after } from "./state.js";

const decided = (ticket: Ticket, depth = 0): Decision => decide(after(ticket), ticket, { depth });
const costOf = ({ options }: Decision, kind: string) => options.find((o) => o.kind === kind)?.cost ?? NaN;

/** Two hard faults that look alike, one of them for certain; each has a repair, minutes count and nothing else. */
function two(
  of: Partial<Simple> & { minutes?: [number, number]; look?: number; chance?: number } = {},
): Ticket {
  const { minutes = [10, 30], look = 1, chance = 0.5 } = of;
  const ticket = simpleTicket({
    causes: [
      { id: "a", p: 0.5, rate: { fixed: 1 } },
      // shares go by the odds: 1 to (1 − chance) / chance
      { id: "b", p: 1 - chance, rate: { fixed: 1 } },
    ],
    nothing: 0,
    unlisted: 0,
    maxCauses: 1,
    ...of,
    more: {
      trialMinutes: 0.001, // a start costs next to nothing, so that the figures can be checked by hand
      labourPerHour: 60,
      terms: { comeback: 1e4, worth: 1e5 },
      repairs: ["a", "b"].map((id, k) => ({
        id: `mend-${id}`,
        name: `mend ${id}`,
        on: "machine" as const,
        clears: { [id]: 1 },
        minutes: minutes[k]!,
      })),
      findings: [
        {
          id: "tell",
          name: "tell",
          on: "machine" as const,
          values: [
            { id: "a", name: "a" },
            { id: "b", name: "b" },
          ],
          base: { a: 1e-9 },
          causes: { a: { a: 1 } },
          minutes: look,
        },
      ],
      ...of.more,
    },
  });
  return ticket;
}

test("looking further begins with the decision without, lowers costs alone, and may be left at any point", () => {
  const ticket = two({ look: 5 });
  const ranking = new Ranking(after(ticket), ticket, "active");
  const all = [...decisions(ranking, { depth: 1 })];
  expect(all.length).toBeGreaterThan(2);
  expect(all[0]).toEqual(decideFrom(ranking, { depth: 0 }));
  expect(all.at(-1)).toEqual(decideFrom(ranking, { depth: 1 }));
  for (let k = 1; k < all.length; k++) expect(all[k]!.cost).toBeLessThanOrEqual(all[k - 1]!.cost);
});

test("every option is priced to the end, the least is the advice, and the next best is its margin", () => {
  const { options, kind, cost, margin } = decided(two());
  expect(options.map((o) => o.cost)).toEqual(options.map((o) => o.cost).sort((x, y) => x - y));
  expect([kind, cost]).toEqual([options[0]!.kind, options[0]!.cost]);
  expect(margin).toBeCloseTo(options[1]!.cost - cost, 12);
  expect(new Set(options.map((o) => o.kind))).toEqual(new Set(["test", "repair", "release", "return"]));
});

describe("a test against the repairs it could spare, by hand", () => {
  // even chances, 10 and 30 minutes at 1 a minute: without a test 10 + 0.5 · 30 = 25; told apart 0.5 · 10 + 0.5 · 30 = 20
  test("a look of one minute pays: 1 + 20 against 25", () => {
    const decision = decided(two());
    expect([decision.kind, decision.candidate && idOf(decision.candidate)]).toEqual(["test", "finding tell"]);
    expect(decision.cost).toBeCloseTo(21, 2);
    expect(costOf(decision, "repair")).toBeCloseTo(25, 2);
  });

  test("one of six minutes does not: 6 + 20 against 25", () => {
    const decision = decided(two({ look: 6 }));
    expect(decision.kind).toBe("repair");
    expect(costOf(decision, "test")).toBeGreaterThan(decision.cost);
  });

  test("three to one for the quick repair and the look no longer pays: 1.25 + 15 against 10 + 7.5", () => {
    const decision = decided(two({ look: 3, chance: 0.75 }));
    expect(decision.kind).toBe("repair");
    expect(decision.cost).toBeCloseTo(10 + 0.25 * 30, 2);
  });
});

test("the machine goes back where every way to finish costs more than it is worth", () => {
  const more: Partial<Catalog> = { terms: { comeback: 1e4, worth: 8 } };
  const decision = decided(two({ more }));
  expect([decision.kind, decision.cost]).toEqual(["return", 8]);
  // what the owner will pay at most counts the same
  const limited = { ...two(), terms: { most: 8 } };
  expect(decided(limited).kind).toBe("return");
});

test("once repaired and proved it is handed back", () => {
  const base = two({ minutes: [10, 30] });
  const repaired: Ticket = {
    ...base,
    entries: [
      runs("before", 2, 0),
      { kind: "finding", id: "f", finding: "tell", value: "a" },
      { kind: "repair", id: "r", repair: "mend-a" },
      runs("after", 0, 1),
    ],
  };
  const decision = decided(repaired);
  expect(decision.kind).toBe("release");
  expect(decision.cost).toBeLessThan(0.01);
});

test("looking a step further never costs more than not looking", () => {
  for (const chance of [0.3, 0.5, 0.8]) {
    const ticket = two({ chance });
    expect(decided(ticket, 1).cost).toBeLessThanOrEqual(decided(ticket, 0).cost + 1e-9);
  }
});
