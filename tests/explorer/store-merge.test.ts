import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import { merge } from "../../explorer/store/merge.js";
import { applied, back, diff } from "../../explorer/store/patch.js";
import { append, press, remove, replace, voidStart } from "../../explorer/bench/ticket-edits.js";
import { catalog, ticket } from "./small.js";

let tick = 0;
const at = () => new Date(Date.UTC(2030, 0, 1) + 1000 * tick++).toISOString();
const pressed = (on: Ticket, outcome: string) => press(on, catalog, { outcome, conditions: {}, at: at() });
const starts = (of: Ticket): Trial[] => of.entries.flatMap((e) => (e.kind === "starts" ? e.trials : []));
const outcomes = (of: Ticket) => starts(of).map((t) => t.outcome);

/** Any edit that the ticket page can make. */
const edits: fc.Arbitrary<(t: Ticket) => Ticket>[] = [
  fc.constantFrom("dead", "memory", "clean").map((outcome) => (t: Ticket) => pressed(t, outcome)),
  fc.string({ maxLength: 5 }).map((text) => (t: Ticket) => append(t, { kind: "note", text, at: at() })),
  fc.nat(9).map((i) => (t: Ticket) => remove(t, t.entries[i % Math.max(1, t.entries.length)]?.id ?? "none")),
  fc.nat(9).map((i) => (t: Ticket) => {
    const row = t.entries.findLast((e) => e.kind === "starts");
    return row ? voidStart(t, row.id, i % row.trials.length, "wrong key") : t;
  }),
  fc.tuple(fc.nat(9), fc.nat(60)).map(([i, minutes]) => (t: Ticket) => {
    const entry = t.entries[i % Math.max(1, t.entries.length)];
    return entry ? replace(t, { ...entry, minutes } as Entry) : t;
  }),
  fc.string({ minLength: 1, maxLength: 5 }).map((title) => (t: Ticket) => ({ ...t, title })),
];
const work = fc.array(fc.oneof(...edits), { maxLength: 8 });
const done = (from: Ticket, steps: ((t: Ticket) => Ticket)[]) => steps.reduce((t, step) => step(t), from);

describe("a step", () => {
  test("of one press holds one start, however long the row", () => {
    const row = Array.from({ length: 100 }).reduce<Ticket>((t) => pressed(t, "clean"), ticket);
    const step = diff(row, pressed(row, "dead"))!;
    expect(step).toMatchObject({ path: ["entries", 1, "trials"], at: 100, was: [] });
    expect(step.now).toHaveLength(1);
  });

  test("leads there and back, whatever the work", () => {
    fc.assert(
      fc.property(work, work, (first, second) => {
        const before = done(ticket, first);
        const after = done(before, second);
        const step = diff(before, after);
        expect(step ? applied(before, step) : before).toEqual(after);
        expect(step ? applied(after, back(step)) : after).toEqual(before);
      }),
      { numRuns: 300, seed: 7 },
    );
  });

  test("shares what it does not touch", () => {
    const before = pressed(pressed(ticket, "dead"), "clean");
    const after = applied(before, diff(before, pressed(before, "dead"))!);
    expect(after.machine).toBe(before.machine);
    expect(starts(after)[0]).toBe(starts(before)[0]);
  });
});

describe("two windows on one record", () => {
  const base = pressed(pressed(ticket, "dead"), "clean");

  test("starts pressed in the same row are all kept, those of the other window first", () => {
    const { value, clashes } = merge(base, pressed(base, "memory"), pressed(base, "clean"));
    expect([outcomes(value), clashes]).toEqual([["dead", "clean", "clean", "memory"], []]);
  });

  test("rows begun in both under one id are two rows", () => {
    const { value, clashes } = merge(ticket, pressed(ticket, "memory"), pressed(ticket, "dead"));
    expect(value.entries.map((e) => [e.kind, e.id])).toEqual([
      ["intake", "e1"],
      ["starts", "e2"],
      ["starts", "e3"],
    ]);
    expect([outcomes(value), clashes]).toEqual([["dead", "memory"], []]);
  });

  test("an undo here and a start there are both done", () => {
    const undone = { ...base.entries[1]!, trials: starts(base).slice(0, 1) } as Entry;
    const there = pressed(base, "memory");
    expect(outcomes(merge(base, replace(base, undone), there).value)).toEqual(["dead", "memory"]);
  });

  test("an entry deleted here and added to there stays", () => {
    for (const [mine, theirs] of [
      [remove(base, "e2"), pressed(base, "memory")],
      [pressed(base, "memory"), remove(base, "e2")],
    ] as const) {
      const { value, clashes } = merge(base, mine, theirs);
      expect([outcomes(value), clashes]).toEqual([["dead", "clean", "memory"], []]);
      expect(value).not.toHaveProperty("deleted"); // "Bring back" would count its starts twice
    }
  });

  test("an entry deleted on one side alone is deleted", () => {
    expect(merge(base, remove(base, "e2"), { ...base, title: "x" }).value.entries).toHaveLength(1);
    expect(merge(base, { ...base, title: "x" }, remove(base, "e2")).value.entries).toHaveLength(1);
  });

  test("entries deleted on both sides are all kept among the deleted", () => {
    const three = append(base, { kind: "note", text: "a" });
    const { value, clashes } = merge(three, remove(three, "e2"), remove(three, "e3"));
    expect([value.deleted?.map((gone) => gone.entry.id), clashes]).toEqual([["e3", "e2"], []]);
    const both = merge(three, remove(three, "e2"), remove(three, "e2"));
    expect(both.value.deleted).toHaveLength(1);
  });

  test("entries that both began under one id stay apart, one of them deleted or both", () => {
    const [mine, theirs] = [pressed(ticket, "memory"), pressed(ticket, "dead")];
    const cases = [
      [remove(mine, "e2"), theirs],
      [mine, remove(theirs, "e2")],
      [remove(mine, "e2"), remove(theirs, "e2")],
    ] as const;
    for (const [here, there] of cases) {
      const { value, clashes } = merge(ticket, here, there);
      expect(clashes).toEqual([]);
      const all = [...value.entries, ...(value.deleted ?? []).map((gone) => gone.entry)];
      expect(new Set(all.map((e) => e.id)).size).toBe(3);
      expect(outcomes({ ...ticket, entries: all }).sort()).toEqual(["dead", "memory"]);
    }
  });

  test("different fields of one entry are both taken; one field to two ends is a clash that loses neither", () => {
    const row = base.entries[1]!;
    const minutes = (n: number) => replace(base, { ...row, minutes: n });
    const both = merge(base, minutes(4), replace(base, { ...row, note: "cold" }));
    expect(both).toMatchObject({ value: { entries: [{}, { minutes: 4, note: "cold" }] }, clashes: [] });
    const clash = merge(base, minutes(4), minutes(9));
    expect(clash.value.entries[1]).toMatchObject({ minutes: 9 });
    expect(clash.clashes).toEqual([{ path: ["entries", "e2", "minutes"], mine: 4, theirs: 9 }]);
  });

  test("an order changed on one side holds, with what the other side added", () => {
    const three = append(base, { kind: "note", text: "a" });
    const turned = { ...three, entries: [three.entries[0]!, three.entries[2]!, three.entries[1]!] };
    const ids = (t: Ticket) => t.entries.map((e) => e.id);
    const added = append(three, { kind: "note", text: "b" });
    expect(ids(merge(three, turned, added).value)).toEqual(["e1", "e3", "e4", "e2"]);
    expect(ids(merge(three, added, turned).value)).toEqual(["e1", "e3", "e4", "e2"]);
  });

  test("whatever both do, no start that stands on either side is missing, unless a clash names it", () => {
    fc.assert(
      fc.property(work, work, (here, there) => {
        const [mine, theirs] = [done(base, here), done(base, there)];
        const { value, clashes } = merge(base, mine, theirs);
        const known = new Set(starts(base).map((t) => t.at));
        const kept = new Set(starts(value).map((t) => t.at));
        const shown = JSON.stringify(clashes);
        for (const start of [...starts(mine), ...starts(theirs)])
          if (!known.has(start.at)) expect(kept.has(start.at) || shown.includes(start.at!)).toBe(true);
        const ids = [...value.entries, ...(value.deleted ?? []).map((gone) => gone.entry)].map((e) => e.id);
        expect(new Set(ids).size).toBe(ids.length);
        for (const { id } of base.entries) expect(ids).toContain(id);
      }),
      { numRuns: 500, seed: 11 },
    );
  });

  test("only one side at work: its record is the result", () => {
    fc.assert(
      fc.property(work, (here) => {
        const mine = done(base, here);
        expect(merge(base, mine, base)).toEqual({ value: mine, clashes: [] });
        expect(merge(base, base, mine)).toEqual({ value: mine, clashes: [] });
      }),
      { numRuns: 200, seed: 3 },
    );
  });
});
