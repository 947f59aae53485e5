import { describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { Bench, type Desk } from "../../explorer/bench/bench.svelte.js";
import type { WeighAnswer } from "../../explorer/store/messages.js";
import { aTest, finish, catalog, ticket, weighing } from "./small.js";

/** A desk whose engine answers when the test says so. */
function desk() {
  const saved: Ticket[] = [];
  const asked: { ticket: Ticket; answer: (a: WeighAnswer | null) => void; fail: (e: Error) => void }[] = [];
  const ask = (_: unknown, ticket: Ticket) =>
    new Promise<WeighAnswer | null>((answer, fail) => asked.push({ ticket, answer, fail }));
  const desk: Desk = {
    save: ({ ticket, base }) => {
      saved.push(ticket);
      return Promise.resolve({ revision: base + 1 });
    },
    weigh: ask,
    advise: ask,
    now: () => "2030-01-02T08:00:00.000Z",
  };
  return { desk, saved, asked };
}
const settle = () => new Promise((resolve) => setTimeout(resolve, 0));
const open = (from = desk()) => ({ bench: new Bench(ticket, catalog, from.desk), ...from });
const kinds = (bench: Bench) => bench.ticket.entries.map((e) => e.kind);
const outcomes = (bench: Bench) =>
  bench.ticket.entries.flatMap((e) => (e.kind === "starts" ? [e.trials.map((t) => t.outcome)] : []));

describe("a press", () => {
  test("is a start in the record and saved before the engine has answered", () => {
    const { bench, saved } = open();
    bench.press("dead");
    expect(outcomes(bench)).toEqual([["dead"]]);
    expect(saved.at(-1)).toBe(bench.ticket);
    expect(bench.belief).toBe("working");
  });

  test("joins the open row; other conditions or another entry begin a new one", () => {
    const { bench } = open();
    bench.press("dead");
    bench.press("clean");
    expect(bench.row?.trials.length).toBe(2);
    bench.conditions = { rest: "cold" };
    expect(bench.row).toBeNull();
    bench.press("dead");
    bench.add({ kind: "note", text: "smells of dust" });
    bench.press("dead");
    expect(outcomes(bench)).toEqual([["dead", "clean"], ["dead"], ["dead"]]);
  });

  test("may be a set of outcomes, where nobody saw the stop", () => {
    const { bench } = open();
    bench.press(["dead", "memory"]);
    expect(outcomes(bench)).toEqual([[["dead", "memory"]]]);
  });
});

test("undo and redo go any number of steps, and a new step forgets what was undone", () => {
  const { bench } = open();
  for (let n = 0; n < 50; n++) bench.press("clean");
  const all = bench.ticket;
  for (let n = 0; n < 50; n++) bench.undo();
  expect(bench.ticket).toEqual(ticket);
  expect([bench.canUndo, bench.canRedo]).toEqual([false, true]);
  bench.undo();
  expect(bench.ticket).toEqual(ticket);
  for (let n = 0; n < 50; n++) bench.redo();
  expect(bench.ticket).toEqual(all);
  bench.undo();
  bench.press("dead");
  expect(bench.canRedo).toBe(false);
});

test("a voided start stays in the record with its reason, and can count again", () => {
  const { bench } = open();
  bench.press("dead");
  bench.press("clean");
  bench.voidStart("e2", 0, "wrong key");
  const trials = () => bench.ticket.entries.flatMap((e) => (e.kind === "starts" ? e.trials : []));
  expect(trials().map((t) => t.voided)).toEqual(["wrong key", undefined]);
  bench.voidStart("e2", 0, null);
  expect(trials()[0]).not.toHaveProperty("voided");
});

test("an entry is edited in place and deleted by its id, and what is below is asked for again", async () => {
  const { bench, asked } = open();
  bench.press("dead");
  const row = bench.ticket.entries[1]!;
  bench.replace({ ...row, minutes: 4 });
  expect([kinds(bench), bench.spent]).toEqual([["intake", "starts"], 9]);
  bench.remove("e1");
  expect(kinds(bench)).toEqual(["starts"]);
  await settle();
  expect(asked.at(-1)?.ticket).toBe(bench.ticket);
});

describe("the engine's answers", () => {
  test("belief comes first, then the next test", async () => {
    const { bench, asked } = open();
    asked[0]!.answer({ weighing });
    await settle();
    expect([bench.belief, bench.advising, bench.weighing]).toEqual(["done", "working", weighing]);
    asked[1]!.answer({
      weighing: { ...weighing, next: { target: "active", entropy: 1, tests: [aTest], dropped: 0, finish } },
    });
    await settle();
    expect([bench.advising, bench.advice?.tests[0]?.title]).toEqual(["done", aTest.title]);
  });

  test("an answer to a record that has changed since is not shown", async () => {
    const { bench, asked } = open();
    bench.press("dead");
    asked[0]!.answer({ weighing });
    await settle();
    expect([bench.weighing, bench.belief]).toEqual([null, "working"]);
  });

  test("issues are kept beside the record, which loses nothing", async () => {
    const { bench, asked } = open();
    const issues = [
      { path: "entries[0]", found: "x", expected: "y", message: "entries[0]: found x, expected y" },
    ];
    asked[0]!.answer({ issues });
    await settle();
    expect([bench.issues, bench.belief, bench.ticket]).toEqual([issues, "failed", ticket]);
  });

  test("a broken engine is said, and can be asked again", async () => {
    const { bench, asked } = open();
    asked[0]!.fail(new Error("no worker"));
    await settle();
    expect([bench.failure, bench.belief]).toEqual(["no worker", "failed"]);
    void bench.weigh();
    asked[1]!.answer({ weighing });
    await settle();
    expect([bench.failure, bench.belief]).toEqual([null, "done"]);
  });
});

test("a record that could not be saved is said", async () => {
  const from = desk();
  from.desk.save = () => Promise.reject(new Error("disk full"));
  const { bench } = open(from);
  bench.press("dead");
  await settle();
  expect(bench.saveFailure).toBe("disk full");
});

test("starting a test writes its change, sets its conditions and starts the clock", () => {
  const { bench } = open();
  bench.start(aTest);
  expect(bench.ticket.entries[1]).toMatchObject({ kind: "change", fit: { A1: "m3" } });
  expect(bench.conditions).toEqual({ rest: "cold" });
  expect(bench.underWay?.since).toBe("2030-01-02T08:00:00.000Z");
  expect(bench.setups.now.fit).toMatchObject({ A1: "m3", A2: "m2" });
});
