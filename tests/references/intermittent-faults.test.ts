import { describe, expect, test } from "vitest";
import type { CauseTemplate } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { weighed } from "../belief/weighed.js";
import { partCause, runs, simpleTicket } from "../oracle/simple.js";
import { chanceOfSet, logLikelihood } from "./likelihoods.js";
import reference from "./intermittent-faults.json";

const NAMES = ["c1", "c2", "c3"];
const CANDIDATES = { L12: ["c1", "c2"], L13: ["c1", "c3"], L123: NAMES };
const RUNS: [fitted: string[], failed: boolean][] = [
  [["c1", "c2"], true],
  [["c2", "c3"], true],
  [["c1"], true],
  [["c1", "c3"], false],
];

/** Each run with only its components fitted. */
function ticket(p: number, rate: CauseTemplate["intermittency"]): Ticket {
  const entries = RUNS.flatMap(([fitted, failed], k): Entry[] => [
    { kind: "change", id: `fit${k}`, fit: Object.fromEntries(NAMES.map((c) => [`place-${c}`, fitted.includes(c) ? `the-${c}` : null])) },
    runs(`run${k}`, failed ? 1 : 0, failed ? 0 : 1),
  ]);
  return simpleTicket({ causes: NAMES.map((id) => ({ id, p, rate, part: true })), maxCauses: 3, entries });
}

const ids = (names: readonly string[]) => names.map(partCause);

describe(`intermittent components — ${reference.source}`, () => {
  test.each(reference.likelihoods)("likelihoods of the three candidates at g = $g", ({ g, ...wanted }) => {
    const it = ticket(0.1, { fixed: 1 - g });
    for (const [name, members] of Object.entries(CANDIDATES))
      expect(Math.abs(Math.exp(logLikelihood(it, ids(members))) - wanted[name as keyof typeof wanted])).toBeLessThan(reference.within.likelihood);
  });

  test.each(reference.cases)("posterior of the three candidates at g = $g, p = $p", ({ g, p, P12, P13, P123 }) => {
    const weighing = weighed(ticket(p, { fixed: 1 - g }));
    const chances = Object.values(CANDIDATES).map((members) => chanceOfSet(weighing, ids(members)));
    const sum = chances.reduce((a, b) => a + b, 0);
    [P12, P13, P123].forEach((wanted, k) => expect(Math.abs(chances[k]! / sum - wanted)).toBeLessThan(reference.within.posterior));
  });

  test("at g = 1/2, p = 1/10 they are 12/17, 4/17 and 1/17", () => {
    const weighing = weighed(ticket(0.1, { fixed: 0.5 }));
    const chances = Object.values(CANDIDATES).map((members) => chanceOfSet(weighing, ids(members)));
    const sum = chances.reduce((a, b) => a + b, 0);
    [12 / 17, 4 / 17, 1 / 17].forEach((wanted, k) => expect(Math.abs(chances[k]! / sum - wanted)).toBeLessThan(reference.within.exact));
  });

  test("with a uniform rate they integrate to 5/72, 1/72 and 19/432", () => {
    const it = ticket(0.1, { hard: 0, a: 1, b: 1 });
    const wanted = [5 / 72, 1 / 72, 19 / 432];
    Object.values(CANDIDATES).forEach((members, k) =>
      expect(Math.abs(Math.exp(logLikelihood(it, ids(members))) - wanted[k]!)).toBeLessThan(reference.within.integrated),
    );
  });

  test("what cannot explain the runs gets exactly 0", () => {
    const weighing = weighed(ticket(0.1, { hard: 0, a: 1, b: 1 }));
    for (const members of [["c1"], ["c2"], ["c3"], ["c2", "c3"]]) expect(chanceOfSet(weighing, ids(members))).toBe(0);
    expect(weighing.none.p).toBe(0);
  });
});
