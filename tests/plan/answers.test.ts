import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { lookAnswers, startsAnswers } from "../../engine/plan/answers.js";
import { candidatesOf, type Candidate } from "../../engine/plan/candidates.js";
import { atomsOf } from "../../engine/plan/atoms.js";
import { StartsInformation } from "../../engine/plan/information.js";
import { findingAnswers, readingAnswers } from "../../engine/plan/looks.js";
import { isStarts, planOf } from "../../engine/plan/starts.js";
import { findingTied, readingTied } from "../../engine/belief/compile.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { AnswerView } from "../../engine/weighing.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { after } from "./state.js";

const total = (answers: readonly AnswerView[]) => answers.reduce((sum, a) => sum + a.chance, 0);

/** Answers of all looks and of some batches of two starts. */
function allAnswers(ticket: Ticket): Record<"starts" | "finding" | "reading", AnswerView[][]> {
  const state = after(ticket);
  const { belief, place } = state;
  const atoms = atomsOf(belief, "active");
  const starts = new StartsInformation(belief, 2, "active", atoms);
  const all = candidatesOf(state, ticket.entries);
  const ofLook = (c: Candidate) => {
    if (c.kind === "finding")
      return [
        lookAnswers(
          belief,
          atoms,
          findingAnswers(belief, c.finding),
          findingTied(belief.model, place.setup, c.finding, c.on ?? undefined),
        ),
      ];
    if (c.kind !== "reading") return [];
    return [
      lookAnswers(
        belief,
        atoms,
        readingAnswers(belief, c.reading),
        readingTied(belief.model, place.setup, c.reading, c.on ?? undefined),
      ),
    ];
  };
  return {
    starts: all
      .filter(isStarts)
      .filter((_, k) => k % 7 === 0)
      .map((c) => startsAnswers(starts, planOf(state, c))),
    finding: all.filter((c) => c.kind === "finding").flatMap(ofLook),
    reading: all.filter((c) => c.kind === "reading").flatMap(ofLook),
  };
}

/** Causes that every answer speaks of: each names the few that it moves most. */
const spokenOf = (answers: readonly AnswerView[]) =>
  answers[0]!.effects
    .map((e) => e.cause)
    .filter((id) => answers.every((a) => a.effects.some((e) => e.cause === id)));

test("on any small ticket: P(cause) now is the mean of the answers' afters, weighted by their chances", () => {
  const checked = { starts: 0, finding: 0, reading: 0 };
  const meanLaw = (answers: AnswerView[]): number => {
    expect(total(answers)).toBeLessThan(1 + 1e-9);
    expect(total(answers)).toBeGreaterThan(0.98); // what is less likely than 0.2 % is left out
    if (Math.abs(total(answers) - 1) > 1e-9) return 0;
    for (const cause of spokenOf(answers)) {
      const of = (a: AnswerView) => a.effects.find((e) => e.cause === cause)!;
      const mean = answers.reduce((sum, a) => sum + a.chance * of(a).after, 0);
      expect(Math.abs(mean - of(answers[0]!).before), cause).toBeLessThan(1e-9);
    }
    return spokenOf(answers).length;
  };
  fc.assert(
    fc.property(smallTicket, (ticket) => {
      const all = allAnswers(ticket);
      for (const kind of ["starts", "finding", "reading"] as const)
        for (const answers of all[kind]) checked[kind] += meanLaw(answers);
    }),
    { seed: 71, numRuns: 60, endOnFailure: true },
  );
  for (const [kind, figures] of Object.entries(checked)) expect(figures, kind).toBeGreaterThan(20);
});

/** One cause that shows in half of all starts, early; one that shows in a quarter, late; each with 1/2 or 1/4 of a chance. */
const ticket = simpleTicket({
  causes: [
    { id: "a", p: 0.5, rate: { fixed: 0.5 }, signature: { early: 1 } }, // odds 1
    { id: "b", p: 1 / 3, rate: { fixed: 0.25 }, signature: { late: 1 } }, // odds 1/2
  ],
  stages: ["early", "late"],
  nothing: 0.25, // a 1/2, b 1/4
  unlisted: 0,
  maxCauses: 1,
});

describe("of starts", () => {
  const { tests } = weighed(ticket, true).next!;
  const [test0] = tests.filter((t) => t.kind === "starts");

  test("are told apart as people do, the likeliest first", () => {
    const { n, answers } = test0!;
    expect(answers.map((a) => a.outcome).sort()).toEqual(["clean", "early", "late"]);
    const clean = 0.25 + 0.5 * 0.5 ** n + 0.25 * 0.75 ** n;
    const chances = { clean, early: 0.5 * (1 - 0.5 ** n), late: 0.25 * (1 - 0.75 ** n) };
    for (const a of answers) expect(a.chance).toBeCloseTo(chances[a.outcome as keyof typeof chances], 12);
    expect(answers.map((a) => a.chance)).toEqual(answers.map((a) => a.chance).sort((x, y) => y - x));
  });

  test("say what each would do: a stop convicts, clean starts leave a 1/2^n of its odds", () => {
    const { n, answers } = test0!;
    const of = (outcome: string, cause: string) =>
      answers.find((x) => x.outcome === outcome)!.effects.find((e) => e.cause === cause)!;
    expect(of("early", "a").before).toBeCloseTo(0.5, 14);
    expect(of("early", "a").after).toBeCloseTo(1, 14);
    expect(of("early", "b").after).toBe(0);
    const clean = 0.25 + 0.5 * 0.5 ** n + 0.25 * 0.75 ** n;
    expect(of("clean", "a").after).toBeCloseTo((0.5 * 0.5 ** n) / clean, 12);
  });

  test("stops at several stages are an answer of their own", () => {
    // both for certain: early 1/2, late 1/2 · 1/4 = 1/8, clean 3/8; of two starts one each way 2 · 1/2 · 1/8 = 1/8
    const sure = 1 - 1e-12;
    const causes = [
      { id: "a", p: sure, rate: { fixed: 0.5 }, signature: { early: 1 } },
      { id: "b", p: sure, rate: { fixed: 0.25 }, signature: { late: 1 } },
    ];
    const state = after(simpleTicket({ causes, stages: ["early", "late"], nothing: 0, unlisted: 0 }));
    const plan = planOf(state, { kind: "starts", change: null, repair: null, conditions: {} });
    const answers = startsAnswers(new StartsInformation(state.belief, 2, "active"), plan);
    const chance = Object.fromEntries(answers.map((a) => [a.text, a.chance]));
    expect(chance["stops at several stages"]).toBeCloseTo(1 / 8, 9);
    expect(chance["2 clean starts"]).toBeCloseTo(9 / 64, 9);
    expect(chance["any stop: early"]).toBeCloseTo(1 / 4 + 2 * (1 / 2) * (3 / 8), 9);
    expect(chance["any stop: late"]).toBeCloseTo(1 / 64 + 2 * (1 / 8) * (3 / 8), 9);
  });

  test("are named in words", () => {
    const { n, stopEarly, answers } = test0!;
    const [clean, stop] =
      n === 1 ? ["a clean start", "stop"] : [`${n} clean starts`, stopEarly ? "a stop" : "any stop"];
    expect(answers.map((a) => a.text).sort()).toEqual([clean, `${stop}: early`, `${stop}: late`].sort());
  });
});

test("the causes that an answer moves most are named first", () => {
  const causes = Array.from({ length: 7 }, (_, k) => ({
    id: `c${k}`,
    p: 0.02 * (k + 1),
    rate: { hard: 0, a: 1, b: 1 + k },
  }));
  const { tests } = weighed(simpleTicket({ causes, entries: [runs("x", 2, 3)] }), true).next!;
  for (const { effects } of tests.flatMap((t) => t.answers)) {
    const moved = effects.map((e) => Math.abs(e.after - e.before));
    expect(moved).toEqual([...moved].sort((x, y) => y - x));
  }
});
