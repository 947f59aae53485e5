/** What must hold of every weighing, whatever the figures. */
import fc from "fast-check";
import { expect, test } from "vitest";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import type { Weighing } from "../../engine/weighing.js";
import { partCause, runs, simpleTicket } from "../oracle/simple.js";
import { smallTicket } from "../oracle/tickets.js";
import { weighed } from "./weighed.js";

const law = (holds: (ticket: Ticket) => void, seed: number, numRuns = 40) =>
  fc.assert(fc.property(smallTicket, holds), { seed, numRuns, endOnFailure: true });

/** Everything a weighing believes at the end, cause by cause. */
const belief = (w: Weighing) => ({
  evidence: w.logEvidence,
  none: w.none.p,
  unlisted: w.unlisted.p,
  ...Object.fromEntries(
    w.causes.flatMap((c) => [
      [`present ${c.id}`, c.present.p],
      [`at work ${c.id}`, c.atWork.p],
    ]),
  ),
});

function expectSame(one: Weighing, two: Weighing, within = 1e-9): void {
  const other: Record<string, number> = belief(two);
  for (const [name, figure] of Object.entries(belief(one)))
    expect(Math.abs(figure - other[name]!), name).toBeLessThan(within);
}

const mapStarts = (
  ticket: Ticket,
  change: (entry: Extract<Entry, { kind: "starts" }>) => Entry[],
): Ticket => ({
  ...ticket,
  entries: ticket.entries.flatMap((e) => (e.kind === "starts" ? change(e) : [e])),
});

/** Each batch of n as 1 and then n − 1, in entries of their own. */
const splitBatches = (ticket: Ticket) =>
  mapStarts(ticket, (entry) =>
    entry.trials.flatMap((trial, k) => {
      const n = trial.n ?? 1;
      const parts = n > 1 ? [1, n - 1] : [1];
      return parts.map((m, j) => ({ ...entry, id: `${entry.id}-${k}-${j}`, trials: [{ ...trial, n: m }] }));
    }),
  );

test("the order of the starts in one setup does not matter", () => {
  law((ticket) => {
    const turned = mapStarts(ticket, (entry) => [{ ...entry, trials: [...entry.trials].reverse() }]);
    expectSame(weighed(ticket), weighed(turned));
  }, 11);
});

test("a batch is the first start and then the others", () => {
  law((ticket) => expectSame(weighed(ticket), weighed(splitBatches(ticket))), 12);
});

test("prior decibans and the ledger's column add up to the posterior decibans", () => {
  law((ticket) => {
    const w = weighed(ticket);
    const decibans = (p: number) => 10 * Math.log10(p / (1 - p));
    for (const cause of w.causes) {
      if (w.entries.some((e) => e.ledger[cause.id] === null) || cause.decibans === null) continue;
      const sum = w.entries.reduce((total, e) => total + e.ledger[cause.id]!, decibans(cause.prior));
      expect(Math.abs(sum - cause.decibans), cause.id).toBeLessThan(1e-8);
    }
  }, 13);
});

test("the evidence of the entries adds up to that of the record", () => {
  law((ticket) => {
    const w = weighed(ticket);
    expect(w.entries.reduce((sum, e) => sum + e.logEvidence, 0)).toBeCloseTo(w.logEvidence, 9);
  }, 14);
});

test("the chances of the next start's outcomes add up to 1, and so do single causes, nothing wrong and unlisted", () => {
  law((ticket) => {
    const w = weighed(ticket);
    expect(w.predictive.reduce((sum, x) => sum + x.p, 0)).toBeCloseTo(1, 12);
    if (w.maxCauses > 1) return;
    expect(w.causes.reduce((sum, c) => sum + c.present.p, w.none.p + w.unlisted.p)).toBeCloseTo(1, 12);
  }, 15);
});

test("a voided start, a note and a start of which nothing was seen at full trust leave the belief where it was", () => {
  law((ticket) => {
    const outcomes = [...(ticket.catalog as { stages: { id: string }[] }).stages.map((s) => s.id), "clean"];
    const idle: Entry[] = [
      { kind: "starts", id: "x1", trials: [{ outcome: "dark", voided: "bumped the bench" }] },
      { kind: "note", id: "x2", text: "tea" },
      { kind: "starts", id: "x3", trials: [{ outcome: outcomes }] },
    ];
    expectSame(weighed(ticket), weighed({ ...ticket, entries: [...ticket.entries, ...idle] }));
  }, 16);
});

test("a cause without exposure moves only through the others: its odds against nothing wrong stay", () => {
  const ticket = simpleTicket({
    causes: [
      { id: "seen", p: 0.2, rate: { hard: 0.1, a: 1, b: 2 } },
      { id: "apart", p: 0.1, rate: { hard: 0.1, a: 1, b: 2 }, exposure: 0 },
    ],
    leak: 0.05,
    maxCauses: 1,
    entries: [runs("a", 3, 4), runs("b", 0, 5)],
  });
  const w = weighed(ticket);
  const apart = w.causes.find((c) => c.id === "apart")!;
  const noneBefore = 0.1;
  expect(apart.present.p / w.none.p).toBeCloseTo(apart.prior / noneBefore, 10);
  expect(apart.present.p).not.toBeCloseTo(apart.prior, 2);
});

test("five hundred starts stay finite and the one hard fault stands out", () => {
  const causes = ["a", "b", "c"].map((id) => ({
    id,
    p: 0.1,
    part: true,
    rate: { hard: 0.05, a: 0.5, b: 2 },
  }));
  const w = weighed(simpleTicket({ causes, leak: 0.001, entries: [runs("x", 60, 440)] }));
  expect(Number.isFinite(w.logEvidence)).toBe(true);
  expect(w.logEvidence).toBeLessThan(-150);
  for (const figure of Object.values(belief(w))) expect(Number.isFinite(figure)).toBe(true);
  const one = w.causes.find((c) => c.id === partCause("a"))!;
  expect(one.rate!.mean).toBeGreaterThan(0.02);
});

test("a test of the test: entries taken as independent pieces of evidence break the batch law", () => {
  const alone = (ticket: Ticket, entry: Entry) => {
    const single = weighed({ ...ticket, entries: [entry] });
    return single.logEvidence;
  };
  const independent = (ticket: Ticket) =>
    ticket.entries.reduce((sum, entry) => sum + alone(ticket, entry), 0);
  const ticket = simpleTicket({
    causes: [{ id: "a", p: 0.5, rate: { hard: 0, a: 1, b: 2 } }],
    leak: 0.01,
    entries: [runs("x", 0, 3)],
  });
  const split = splitBatches(ticket);
  expect(weighed(ticket).logEvidence).toBeCloseTo(weighed(split).logEvidence, 10);
  expect(Math.abs(independent(ticket) - independent(split))).toBeGreaterThan(0.01);
});
