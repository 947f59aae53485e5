import { expect, test } from "vitest";
import type { Ticket } from "../../../engine/ticket/schema.js";
import type { ReleaseView, Weighing } from "../../../engine/weighing.js";
import { setupsThrough, Words } from "../../../explorer/bench/words.js";
import { costsOf } from "../../../explorer/papers/costs.js";
import { ownerWords, type PaperData } from "../../../explorer/papers/owner.js";
import { inHundred, surely } from "../../../explorer/papers/sure.js";
import { countWords, evidenceOn, likeliestPart } from "../../../explorer/papers/warranty.js";
import { catalog, cause, ticket } from "../small.js";

const at = (hour: number) => `2030-01-02T${String(hour).padStart(2, "0")}:00:00.000Z`;
const worked: Ticket = {
  ...ticket,
  machine: {
    ...ticket.machine,
    parts: ticket.machine.parts.map((p) =>
      p.id === "m1" ? { ...p, went: { to: "warranty", at: at(12) } } : p,
    ),
  },
  entries: [
    { kind: "intake", id: "e1", at: at(8), minutes: 5, complaint: "dead some mornings" },
    {
      kind: "starts",
      id: "e2",
      at: at(9),
      minutes: 10,
      trials: [
        { outcome: "memory", n: 2, code: "3 short" },
        { outcome: "clean" },
        { outcome: "dead", voided: "forgot the switch" },
      ],
    },
    { kind: "change", id: "e3", at: at(10), minutes: 2, fit: { A1: "m3" } },
    {
      kind: "starts",
      id: "e4",
      at: at(10),
      minutes: 10,
      conditions: { rest: "cold" },
      trials: [{ outcome: "clean", n: 9 }],
    },
    { kind: "release", id: "e5", at: at(11) },
  ],
};
const weighing = (p: number, none = 0.05) =>
  ({
    causes: [
      { ...cause("cells@m1", "part", p), name: "Weak cells · Module 1", parts: ["m1"], ifUsed: p },
      { ...cause("cells@m2", "part", 0.2), name: "Weak cells · Module 2", parts: ["m2"] },
    ],
    none: { p: none, low: null, high: null },
  }) as unknown as Weighing;
const data = (p: number, of = worked, none?: number): PaperData => ({
  catalog,
  ticket: of,
  weighing: weighing(p, none),
  release: { days: 30, comeback: 0.031 } as ReleaseView,
  setups: setupsThrough(catalog, of),
  words: new Words(catalog, of),
});

test("a chance is said in hundredths, and never as certain", () => {
  expect([0, 0.004, 0.031, 0.5, 0.996, 1].map(inHundred)).toEqual([
    "less than 1 in 100",
    "less than 1 in 100",
    "about 3 in 100",
    "about 50 in 100",
    "more than 99 in 100",
    "more than 99 in 100",
  ]);
  expect([0.2, 0.5, 0.8, 0.95].map(surely)).toEqual([
    "possibly",
    "probably",
    "very probably",
    "almost certainly",
  ]);
});

test("the owner reads how sure it is, what was done, where the old part is, and how likely it comes back", () => {
  const words = ownerWords(data(0.92));
  expect(words.wrong).toEqual([
    "It was very probably a part that comes and goes (module 1: weak cells). We are about 92 in 100 sure.",
  ]);
  expect(words.done).toEqual([
    "Spare module is now in slot A1, in place of module 1.",
    "Module 1, which came out: back under warranty.",
  ]);
  // 2 + 1 + 9 starts count, the void one does not
  expect(words.starts).toBe("We started it 12 times; it failed 2 times. The last 10 starts were clean.");
  expect(words.comeback).toBe(
    "The chance that it fails again within 30 days, used as you use it: about 3 in 100.",
  );
  expect(words.finished).toBe(true);
});

test("every name inside a sentence begins small, but for what keeps its capital", () => {
  const switchLead = {
    ...cause("lead@b1.A1", "contact", 0.9),
    name: "Front switch lead · Slot A1, Board, Kestrel make",
    parts: ["b1"],
    position: "A1",
  };
  const kestrel: Ticket = {
    ...worked,
    machine: {
      ...worked.machine,
      parts: [...worked.machine.parts, { id: "b1", kind: "module", name: "Board, Kestrel make" }],
    },
  };
  const one = { ...data(0.92, kestrel), weighing: { ...weighing(0.9), causes: [switchLead] } };
  expect(ownerWords(one).wrong[0]).toContain(
    "a poor contact (slot A1, board, Kestrel make: front switch lead).",
  );
  const usb = { ...switchLead, name: "USB chip · USB hub, SSD", parts: [], position: null };
  expect(ownerWords({ ...one, weighing: { ...one.weighing, causes: [usb] } }).wrong[0]).toContain(
    "(USB hub, SSD: USB chip)",
  );
  const entries: Ticket["entries"] = [
    ...worked.entries,
    { kind: "repair", id: "r", repair: "Clean", on: "b1" },
  ];
  expect(ownerWords(data(0.92, { ...kestrel, entries })).done[0]).toBe("Done: clean, board, Kestrel make.");
});

test("a part that left its place empty is said to be out of it, and nobody is told that it lies here", () => {
  const entries = worked.entries.map((entry) =>
    entry.id === "e3" ? { ...entry, fit: { A1: null } } : entry,
  );
  const parts = worked.machine.parts.map(({ went: _, ...part }) => part);
  const ticket = { ...worked, entries, machine: { ...worked.machine, parts } } as typeof worked;
  const { done } = ownerWords(data(0.92, ticket));
  expect(done).toContain("Module 1 is no longer in slot A1.");
  expect(done.join(" ")).not.toContain("came out");
});

test("what was not made out is said to be so; what was confirmed is said as confirmed", () => {
  expect(ownerWords(data(0.4)).wrong).toEqual([
    "We could not make out for sure what was wrong.",
    "Most likely: a part that comes and goes (module 1: weak cells), about 40 in 100; a part that comes and goes (module 2: weak cells), about 20 in 100.",
  ]);
  expect(ownerWords(data(0.1, worked, 0.7)).wrong[0]).toMatch(
    /nothing wrong with it; we are about 70 in 100/,
  );
  const entries = worked.entries.map((e) => (e.kind === "release" ? { ...e, confirmed: ["cells@m1"] } : e));
  expect(ownerWords(data(0.4, { ...worked, entries })).wrong).toEqual([
    "We found it and made sure of it: a part that comes and goes (module 1: weak cells).",
  ]);
});

test("the page has no word that only the trade or a statistician knows", () => {
  const { wrong, done, starts, comeback } = ownerWords(data(0.92));
  const text = [...wrong, ...done, starts, comeback].join(" ");
  expect(text).not.toMatch(
    /posterior|prior|likelihood|deciban|bits?\b|exposure|manifest|setup|trial|swap|reseat|p ?=/i,
  );
});

test("the evidence on a part has every start, void and told ones too, and counts only what counts", () => {
  const evidence = evidenceOn("m1", data(0.92));
  expect(likeliestPart(data(0.92))).toBe("m1");
  const none = { starts: 0, failed: 0 };
  expect(evidence.counts).toEqual([
    { what: "with the part in its machine", bench: { starts: 3, failed: 2 }, told: none },
    { what: "with another part in its place, or none", bench: { starts: 9, failed: 0 }, told: none },
  ]);
  expect(evidence.counts.map(countWords)).toEqual([
    "seen on the bench 2 failed of 3 starts",
    "seen on the bench 0 failed of 9 starts",
  ]);
  expect(evidence.starts.map((s) => [s.number, s.n, s.outcome, s.withPart, s.code, s.voided])).toEqual([
    [1, 2, "memory", true, "3 short", ""],
    [2, 1, "clean", true, "", ""],
    [3, 1, "nothing", true, "", "forgot the switch"],
    [4, 9, "clean", false, "", ""],
  ]);
  expect(evidence.bad).toBe(0.92);
});

test("what the owner counted is said beside what the bench saw, as the rows beneath have it", () => {
  const [intake, ...rest] = worked.entries;
  const told: Ticket["entries"][number] = {
    kind: "starts",
    id: "told",
    by: "owner",
    trials: [
      { outcome: "dead", n: 5 },
      { outcome: "clean", n: 9 },
      { outcome: "dead", voided: "pulled plug" },
    ],
  };
  const evidence = evidenceOn("m1", data(0.92, { ...worked, entries: [intake!, told, ...rest] }));
  expect(evidence.counts.map(countWords)).toEqual([
    "seen on the bench 2 failed of 3 starts; told by the owner 5 failed of 14 starts",
    "seen on the bench 0 failed of 9 starts",
  ]);
  const rows = evidence.starts.filter((s) => s.told && s.withPart && s.voided === "");
  expect(rows.reduce((n, row) => n + row.n, 0)).toBe(14);
  const alone = evidenceOn("m1", data(0.92, { ...worked, entries: [intake!, told] }));
  expect(alone.counts.map(countWords)).toEqual([
    "seen on the bench no start; told by the owner 5 failed of 14 starts",
  ]);
});

test("while the work is not finished, the owner reads what is, not what was", () => {
  const open = { ...worked, entries: worked.entries.filter((e) => e.kind !== "release") };
  const words = (p: number, none?: number) => ownerWords(data(p, open, none));
  expect([words(0.4).about, words(0.4).wrong[0]]).toEqual([
    "What is wrong",
    "We do not know for sure yet what is wrong.",
  ]);
  expect(words(0.92).wrong[0]).toMatch(/^It is very probably /);
  expect(words(0.1, 0.7).wrong[0]).toMatch(/^We have found nothing wrong with it so far; we are about 70 in/);
  expect(ownerWords(data(0.4)).about).toBe("What was wrong");
});

test("the costs are the minutes at the shop's rate and the parts that stayed in", () => {
  const priced = { ...catalog, labourPerHour: 60, parts: catalog.parts.map((p) => ({ ...p, price: 30 })) };
  const costs = costsOf(priced, worked, setupsThrough(priced, worked).now, new Words(priced, worked));
  expect(costs).toEqual({
    minutes: 27,
    perHour: 60,
    labour: 27,
    parts: [{ name: "Spare module", price: 30 }],
    total: 57,
  });
});
