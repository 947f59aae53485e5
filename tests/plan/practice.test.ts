/** What a bench takes for granted, as tests. Common practice, no source. */
import { describe, expect, test } from "vitest";
import type { Entry } from "../../engine/ticket/schema.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { ticket } from "./small.js";

describe("one clean start proves nothing about a fault that shows one time in three", () => {
  const causes = [
    { id: "a", p: 0.2, rate: { fixed: 1 / 3 } },
    { id: "b", p: 0.1, rate: { fixed: 1 / 3 } },
  ];
  /** Odds of suspect a alone against nothing wrong. */
  const odds = (clean: number, maxCauses: number) => {
    const { sets } = weighed(
      simpleTicket({ causes, maxCauses, entries: clean === 0 ? [] : [runs("x", 0, clean)] }),
    );
    const of = (id: string) => sets.find((s) => s.causes.join() === id)!.p;
    return of("a") / of("none");
  };

  test.each([1, 2])("three leave it 8/27 of its odds, with sets of up to %d", (maxCauses) => {
    // (1 − 1/3)³ = 8/27
    expect(Math.abs(odds(3, maxCauses) / odds(0, maxCauses) - 8 / 27)).toBeLessThan(1e-12);
  });

  test("one leaves it 2/3, twenty leave it (2/3)²⁰ = 0.03 %", () => {
    expect(Math.abs(odds(1, 2) / odds(0, 2) - 2 / 3)).toBeLessThan(1e-12);
    expect(Math.abs(odds(20, 2) / odds(0, 2) / (2 / 3) ** 20 - 1)).toBeLessThan(1e-12);
  });
});

describe("a supply that is swapped out", () => {
  const swap: Entry = { kind: "change", id: "swap", fit: { bay: "s2" } };
  const dead: Entry = {
    kind: "starts",
    id: "dead",
    trials: [
      { outcome: "dead", n: 3 },
      { outcome: "clean", n: 2 },
    ],
  };
  const supply = (entries: Entry[], id: string) =>
    weighed(ticket(entries)).causes.find((c) => c.id === `weak-supply@${id}`)!;

  test("is no longer at work, and bad if used: in a drawer it is still what it was", () => {
    const [before, now] = [supply([dead], "s1"), supply([dead, swap], "s1")];
    expect(before.ifUsed).toBeNull();
    expect(before.atWork.p).toBeGreaterThan(0.1);
    expect(now.atWork.p).toBe(0);
    expect(now.ifUsed).toBeCloseTo(before.present.p, 12);
    expect(now.present.p).toBeCloseTo(before.present.p, 12);
  });

  test("is answered for by the spare from then on", () => {
    expect(supply([dead], "s2").atWork.p).toBe(0);
    expect(supply([], "s2").ifUsed).toBeGreaterThan(0);
    expect(supply([dead, swap], "s2").ifUsed).toBeNull();
  });

  test("that cures does not name the culprit: clean starts with the spare raise all that left with it alike", () => {
    // the swap takes away the supply alone: against the cord, which stayed, it gains what the cord loses
    const clean: Entry = { kind: "starts", id: "clean", trials: [{ outcome: "clean", n: 3 }] };
    const of = (entries: Entry[]) => weighed(ticket(entries)).causes.find((c) => c.id === "cord")!.present.p;
    const ratio = (entries: Entry[]) => supply(entries, "s1").present.p / of(entries);
    // the cord shows half of the time: three clean starts with it still in leave it 1/8
    expect(ratio([dead, swap, clean]) / ratio([dead, swap])).toBeCloseTo(8, 9);
  });
});

test("moving a module also reseats it: what a move seems to cure is not cleared of having been the cause", () => {
  const memory: Entry = { kind: "starts", id: "m", trials: [{ outcome: "memory", n: 4 }] };
  const reseated: Entry = { kind: "change", id: "r", fit: { A1: "m2", A2: "m1" } };
  const edge = (entries: Entry[]) => weighed(ticket(entries)).causes.find((c) => c.id === "edge@m1")!;
  const [before, now] = [edge([memory]), edge([memory, reseated])];
  expect(now.present.p).toBeCloseTo(before.present.p, 12);
  expect(now.atWork.p).toBeCloseTo(0.2 * before.atWork.p, 12); // reseating clears 0.8 of them
});
