import { describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { Bench, type Desk } from "../../explorer/bench/bench.svelte.js";
import { press } from "../../explorer/bench/ticket-edits.js";
import type { Weighing } from "../../engine/weighing.js";
import type { AdviceAnswer, WeighAnswer } from "../../explorer/store/messages.js";
import { diff, type Patch } from "../../explorer/store/patch.js";
import type { Kept, Save, SaveAnswer } from "../../explorer/store/tickets.js";
import { THIS_WINDOW } from "../../explorer/store/windows.js";
import { aTest, finish, catalog, ticket, weighing } from "./small.js";

/** A desk whose engine answers when the test says so. */
function desk() {
  const saved: Ticket[] = [];
  type Said = WeighAnswer | AdviceAnswer | null;
  type Kind = "weigh" | "advise" | "prove";
  const asked: { kind: Kind; ticket: Ticket; answer: (a: Said) => void; fail: (e: Error) => void }[] = [];
  const ask =
    <A extends Said>(kind: Kind) =>
    (_: unknown, ticket: Ticket) =>
      new Promise<A>((answer, fail) =>
        asked.push({ kind, ticket, answer: (said) => answer(said as A), fail }),
      );
  const desk: Desk = {
    save: ({ ticket, base }) => {
      saved.push(ticket);
      return Promise.resolve({ revision: base + 1 });
    },
    weigh: ask("weigh"),
    advise: ask("advise"),
    prove: ask("prove"),
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

  test("on a parked ticket takes it off the shelf in the same step, and undo puts it back", () => {
    const { bench } = open();
    const parked = { for: "cold", since: "2030-01-01T08:00:00.000Z" } as const;
    bench.apply((ticket) => ({ ...ticket, parked }));
    expect(bench.besides).toBe("");
    bench.press("dead");
    expect([bench.ticket.parked, outcomes(bench)]).toEqual([undefined, [["dead"]]]);
    expect(bench.besides).toMatch(/^Back on the bench/);
    bench.press("dead");
    expect(bench.besides).toBe("");
    bench.undo();
    bench.undo();
    expect([bench.ticket.parked, outcomes(bench)]).toEqual([parked, []]);
    expect(bench.besides).toMatch(/^Parked again/);
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
    asked[1]!.answer({ advice: { target: "active", entropy: 1, tests: [aTest], dropped: 0, finish } });
    await settle();
    expect([bench.advising, bench.advice?.tests[0]?.title]).toEqual(["done", aTest.title]);
    expect([bench.proving, bench.release]).toEqual(["working", null]);
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

  test("charts wait until the belief is painted, and show none that a press has made old by then", async () => {
    const from = desk();
    const paint: (() => void)[] = [];
    from.desk.painted = () => new Promise((resolve) => paint.push(resolve));
    const { bench, asked } = open(from);
    asked[0]!.answer({ weighing });
    await settle();
    expect([bench.weighing, bench.charted.weighing]).toEqual([weighing, null]);
    paint[0]!();
    await settle();
    expect([bench.charted.weighing, bench.charted.ticket]).toEqual([weighing, bench.ticket]);
    bench.press("dead");
    asked.at(-1)!.answer({ weighing });
    await settle();
    bench.press("clean");
    paint[1]!();
    await settle();
    expect(bench.charted.ticket).toBe(ticket);
  });

  test("who presses before the next test is there is not kept waiting by it; who waits for it is given it at once", async () => {
    const from = desk();
    let paused = 0;
    from.desk.pause = () => new Promise((resolve) => void (paused++, setTimeout(resolve, 5)));
    const { bench, asked } = open(from);
    asked[0]!.answer({ weighing });
    await settle();
    expect([asked.length, paused]).toEqual([2, 0]);
    bench.press("dead");
    asked[2]!.answer({ weighing });
    await settle();
    expect(asked.length).toBe(3);
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect([asked.length, asked[3]!.ticket]).toEqual([4, bench.ticket]);
  });

  test("what an older record said of a comeback is not shown where it cannot be worked out", async () => {
    const { bench, asked } = open();
    asked[0]!.answer({ weighing });
    await settle();
    asked[1]!.answer({ advice: null });
    await settle();
    const release = { comeback: 0.1 } as Weighing["release"];
    asked[2]!.answer({ weighing: { ...weighing, release } });
    await settle();
    expect(bench.release).toEqual(release);
    bench.press("dead");
    expect(bench.release).toEqual(release);
    asked[3]!.fail(new Error("out of memory"));
    await settle();
    expect(bench.release).toBeNull();
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

describe("what is on the disk", () => {
  /** A desk whose database commits when the test says so. */
  function slow() {
    const from = desk();
    const saves: { save: Save; commit: (answer: SaveAnswer) => void; fail: (e: Error) => void }[] = [];
    from.desk.save = (save) => new Promise((commit, fail) => saves.push({ save, commit, fail }));
    return { ...open(from), saves };
  }
  const trials = (bench: Bench) => bench.ticket.entries.flatMap((e) => (e.kind === "starts" ? e.trials : []));
  const marks = (bench: Bench) => trials(bench).map((trial) => bench.isSaved(trial));
  const kept = (ticket: Ticket, revision: number, steps: Patch[] = [], done = steps.length): Kept => ({
    stored: { id: ticket.id, ticket, savedAt: "2030-01-02", summary: null, revision, done },
    steps,
  });

  test("a start is pending until its own save is committed; presses meanwhile go with the next", async () => {
    const { bench, saves } = slow();
    bench.press("dead");
    bench.press("clean");
    bench.press("clean");
    expect([saves.length, marks(bench)]).toEqual([1, [false, false, false]]);
    saves[0]!.commit({ revision: 1 });
    await settle();
    expect(marks(bench)).toEqual([true, false, false]);
    expect(saves[1]!.save).toMatchObject({ base: 1, done: 3, from: 1 });
    saves[1]!.commit({ revision: 2 });
    await settle();
    expect([saves.length, marks(bench), bench.saved === bench.ticket]).toEqual([2, [true, true, true], true]);
  });

  test("a save that fails leaves its starts pending, and the next one carries all steps", async () => {
    const { bench, saves } = slow();
    bench.press("dead");
    saves[0]!.fail(new Error("disk full"));
    await settle();
    expect([bench.saveFailure, marks(bench)]).toEqual(["disk full", [false]]);
    bench.press("clean");
    expect(saves[1]!.save).toMatchObject({ base: 0, done: 2, from: 0 });
    saves[1]!.commit({ revision: 1 });
    await settle();
    expect([bench.saveFailure, marks(bench)]).toEqual([null, [true, true]]);
  });

  test("where another window was first, both windows' starts are in the record and saved on top", async () => {
    const { bench, saves } = slow();
    bench.press("dead");
    const there = press(ticket, catalog, {
      outcome: "memory",
      conditions: {},
      at: "2030-01-02T08:00:01.000Z",
    });
    saves[0]!.commit({ theirs: kept(there, 5, [diff(ticket, there)!]) });
    await settle();
    expect(outcomes(bench)).toEqual([["memory"], ["dead"]]);
    expect(saves[1]!.save).toMatchObject({ base: 5, done: 2, from: 1, ticket: bench.ticket });
    saves[1]!.commit({ revision: 6 });
    await settle();
    expect(marks(bench)).toEqual([true, true]);
    bench.undo();
    expect(outcomes(bench)).toEqual([["memory"]]);
  });

  test("an idle window takes what another one saved, with its steps", () => {
    const { bench, saves } = slow();
    const there = press(ticket, catalog, {
      outcome: "memory",
      conditions: {},
      at: "2030-01-02T08:00:01.000Z",
    });
    bench.catchUp(kept(there, 3, [diff(ticket, there)!]));
    expect([outcomes(bench), marks(bench), bench.canUndo, saves.length]).toEqual([
      [["memory"]],
      [true],
      true,
      0,
    ]);
    bench.catchUp(kept(ticket, 2));
    expect(outcomes(bench)).toEqual([["memory"]]);
    bench.press("dead");
    bench.undo();
    expect(bench.tookBackTheirs).toBe(false);
    bench.undo();
    expect(bench.tookBackTheirs).toBe(true);
    bench.redo();
    expect(bench.tookBackTheirs).toBe(false);
  });

  test("a window loaded again knows which steps were another's, but not of those before it was opened", () => {
    const start = (of: Ticket, second: number) =>
      press(of, catalog, { outcome: "dead", conditions: {}, at: `2030-01-02T08:00:0${second}.000Z` });
    const [one, two, three] = [
      start(ticket, 1),
      start(start(ticket, 1), 2),
      start(start(start(ticket, 1), 2), 3),
    ];
    const steps = [
      { ...diff(ticket, one)!, by: "there" },
      { ...diff(one, two)!, by: THIS_WINDOW },
      { ...diff(two, three)!, by: "there" },
    ];
    const { desk: at } = desk();
    const bench = new Bench(three, catalog, at, kept(three, 4, steps));
    const said = [1, 2, 3].map(() => (bench.undo(), bench.tookBackTheirs));
    expect(said).toEqual([true, false, false]);
  });

  test("one value changed in both windows is a clash; either choice settles it", async () => {
    const { bench, saves } = slow();
    bench.replace({ ...ticket.entries[0]!, minutes: 7 });
    const there = { ...ticket, entries: [{ ...ticket.entries[0]!, minutes: 9 }] };
    saves[0]!.commit({ theirs: kept(there, 2) });
    await settle();
    expect([bench.spent, bench.clashes.length, saves.length]).toEqual([9, 1, 1]);
    bench.settle(bench.clashes[0]!, "mine");
    expect([bench.spent, bench.clashes.length, saves.length]).toEqual([7, 0, 2]);
  });

  test("undo goes back beyond a reload", () => {
    const { bench } = slow();
    bench.press("dead");
    bench.press("clean");
    const steps = [diff(ticket, bench.ticket)!];
    const later = new Bench(bench.ticket, catalog, desk().desk, kept(bench.ticket, 2, steps));
    later.undo();
    expect(later.ticket).toEqual(ticket);
    later.redo();
    expect(later.ticket).toEqual(bench.ticket);
  });
});

test("a form saved after others have worked on its entry keeps their work", () => {
  const { bench } = open();
  bench.press("dead");
  const opened = bench.ticket.entries[1]!;
  bench.press("clean");
  bench.replace({ ...opened, note: "cold morning" }, opened);
  expect(bench.ticket.entries[1]).toMatchObject({
    note: "cold morning",
    trials: [{ outcome: "dead" }, { outcome: "clean" }],
  });
  bench.remove("e2");
  bench.replace({ ...opened, note: "cold morning" }, opened);
  expect(bench.ticket.entries.at(-1)).toMatchObject({ id: "e2", kind: "starts", note: "cold morning" });
  expect(outcomes(bench)).toEqual([["dead", "clean"]]);
  expect(bench.ticket).not.toHaveProperty("deleted"); // "Bring back" would count its starts twice
});

test("a press leaves the setups of the record before it as they are", () => {
  const { bench } = open();
  bench.move("m3", "A1");
  bench.press("dead");
  const { at } = bench.setups;
  bench.press("clean");
  bench.add({ kind: "note", text: "warm" });
  expect(bench.setups.at.slice(0, 3)).toEqual(at);
  at.forEach((setup, i) => expect(bench.setups.at[i]).toBe(setup));
  expect(bench.setups.now.fit).toMatchObject({ A1: "m3" });
  bench.remove("e2");
  expect(bench.setups.now.fit).toMatchObject({ A1: "m1" });
});

describe("the clock of a test", () => {
  const inTime = () => {
    const from = desk();
    let minute = 0;
    from.desk.now = () => new Date(Date.UTC(2030, 0, 2, 8, minute)).toISOString();
    const { bench } = open(from);
    return { bench, wait: (minutes: number) => void (minute += minutes) };
  };
  const asked = { ...aTest, kind: "starts", n: 2, stopEarly: true, change: null, repair: null, finding: null, reading: null } as const; // prettier-ignore
  const minutes = (bench: Bench) => bench.ticket.entries.map(({ kind, minutes = 0 }) => [kind, minutes]);

  test("ends with the start that ends its row, whose minutes it writes down", () => {
    const { bench, wait } = inTime();
    bench.press("dead");
    wait(1);
    bench.start({ ...asked, n: 2 });
    wait(3);
    bench.press("clean");
    expect(bench.underWay).not.toBeNull();
    wait(4);
    bench.press("clean");
    expect(bench.underWay).toBeNull();
    expect(minutes(bench)).toEqual([["intake", 5], ["starts", 0], ["starts", 7]]); // prettier-ignore
    bench.undo();
    expect(minutes(bench)).toEqual([["intake", 5], ["starts", 0], ["starts", 0]]); // prettier-ignore
  });

  test("of a test that another one follows is written to what was done, not to a note in between", () => {
    const { bench, wait } = inTime();
    bench.start(asked);
    wait(6);
    bench.press("clean");
    bench.add({ kind: "note", text: "Nothing was touched." });
    bench.start({ ...asked, n: 4 });
    expect(minutes(bench)).toEqual([["intake", 5], ["starts", 6], ["note", 0]]); // prettier-ignore
    expect(bench.underWay?.minutes(bench.now())).toBe(0);
  });

  test("stops with the change that it began with, where that is taken back", () => {
    const { bench } = inTime();
    const fit = { [Object.keys(bench.setups.now.fit)[0]!]: null };
    bench.start({ ...asked, change: { fit } });
    expect(kinds(bench)).toContain("change");
    bench.undo();
    expect([kinds(bench).includes("change"), bench.underWay]).toEqual([false, null]);
  });
});

test("charts show the record weighed last, and the whole of it where it cannot be weighed", async () => {
  const { bench, asked } = open();
  asked[0]!.answer({ weighing });
  await settle();
  bench.press("dead");
  expect(bench.charted.ticket).toBe(ticket);
  asked.at(-1)!.answer({ weighing });
  await settle();
  expect(bench.charted.ticket).toBe(bench.ticket);
  bench.press("clean");
  expect(bench.charted.ticket).not.toBe(bench.ticket);
  asked.at(-1)!.fail(new Error("out of memory"));
  await settle();
  expect(bench.charted.ticket).toBe(bench.ticket);
});

describe("while the machine is started again", () => {
  const outcomesOf = (of: Ticket) =>
    of.entries.flatMap((e) => (e.kind === "starts" ? e.trials.map((t) => t.outcome) : []));
  const foretold = (of: Ticket) => ({
    ...weighing,
    predictive,
    ticket: { id: of.id, title: outcomesOf(of).join() },
  });
  const predictive = [
    { outcome: "dead", p: 0.03 },
    { outcome: "memory", p: 0.37 },
    { outcome: "clean", p: 0.6 },
  ];
  /** A bench whose first belief is there, and which has been told what may come. */
  async function foreseeing(foresee?: Desk["foresee"]) {
    const from = desk();
    const come: Ticket[] = [];
    from.desk.foresee = (catalog, of) => (
      come.push(of),
      foresee?.(catalog, of) ?? Promise.resolve({ weighing: foretold(of) })
    );
    const opened = open(from);
    from.asked[0]!.answer({ weighing: { ...weighing, predictive } });
    await settle();
    /** tickets that belief was asked of, beside the first: advice and proofs are not answered here */
    const weighed = () => from.asked.slice(2).filter(({ kind }) => kind === "weigh");
    return { ...opened, come, weighed };
  }

  const ALL = [["clean"], ["clean", "clean"], ["memory"], ["dead"]];

  test("all that may come is foreseen, the likeliest first, under the conditions of the strip", async () => {
    const { bench, come } = await foreseeing();
    expect(come.map(outcomesOf)).toEqual(ALL);
    expect(bench.foresight.said).toEqual(come.map(foretold));
    bench.conditions = { rest: "cold" };
    await settle();
    const cold = come.slice(ALL.length);
    expect(cold.map(outcomesOf)).toEqual(ALL);
    for (const of of cold) expect(of.entries.at(-1)).toMatchObject({ conditions: { rest: "cold" } });
  });

  test("the likeliest and the same again at once, the others when no press has come for a while", async () => {
    const { bench, desk, come } = await foreseeing();
    let resting: (() => void)[] = [];
    desk.pause = () => new Promise((resolve) => resting.push(resolve));
    const rest = () => {
      for (const rested of resting) rested();
      resting = [];
      return settle();
    };
    const since = (n: number) => come.slice(ALL.length + n).map(outcomesOf);
    bench.press("dead");
    await settle();
    expect(since(0)).toEqual([
      ["dead", "clean"],
      ["dead", "clean", "clean"],
    ]);
    bench.press("clean");
    await rest();
    expect(since(2)).toEqual([["dead", "clean", "clean", "clean"]]); // the start before it is known
    await rest();
    expect(since(3)).toEqual([
      ["dead", "clean", "memory"],
      ["dead", "clean", "dead"],
    ]);
  });

  test("a press that was foreseen is not weighed again, and what comes after it is foreseen", async () => {
    const { bench, come, weighed } = await foreseeing();
    bench.press("memory");
    expect(bench.belief).toBe("working");
    expect(bench.foresight.said).toEqual(come.map(foretold)); // they may be drawn yet
    await settle();
    expect(bench.belief).toBe("done");
    expect(bench.weighing).toMatchObject({ ticket: { title: "memory" } });
    expect(weighed()).toEqual([]);
    const after = come.slice(ALL.length);
    expect(after.map(outcomesOf)).toEqual(ALL.map((more) => ["memory", ...more]));
    expect(bench.foresight.said).toEqual(after.map(foretold));
  });

  test("a test under way writes its minutes, which says nothing of the machine", async () => {
    const { bench, weighed } = await foreseeing();
    bench.start({ ...aTest, n: 1, change: null });
    await settle();
    bench.press("memory");
    await settle();
    expect(bench.ticket.entries.at(-1)).toHaveProperty("minutes");
    expect(bench.weighing).toMatchObject({ ticket: { title: "memory" } });
    expect(weighed()).toEqual([]);
  });

  test("a press of something else is weighed", async () => {
    const { bench, weighed } = await foreseeing();
    bench.press(["dead", "memory"]);
    await settle();
    expect(weighed().map(({ ticket }) => ticket)).toEqual([bench.ticket]);
  });

  test("a press waits for what is being worked out of it", async () => {
    let answer = (_: WeighAnswer | null) => {};
    const { bench, come, weighed } = await foreseeing(() => new Promise((resolve) => (answer = resolve)));
    bench.press("clean");
    await settle();
    expect([bench.belief, weighed()]).toEqual(["working", []]);
    answer({ weighing: foretold(come[0]!) });
    await settle();
    expect([bench.belief, weighed()]).toEqual(["done", []]);
    expect(come.map(outcomesOf)).toEqual([["clean"], ["clean", "clean"]]);
  });

  test.each<[string, Desk["foresee"]]>([
    ["was overtaken", () => Promise.resolve(null)],
    ["failed", () => Promise.reject(new Error("out of memory"))],
  ])("what %s is weighed when it comes", async (_, foresee) => {
    const { bench, weighed } = await foreseeing(foresee);
    expect([bench.failure, bench.foresight.said]).toEqual([null, []]);
    bench.press("clean");
    await settle();
    expect(weighed().map(({ ticket }) => ticket)).toEqual([bench.ticket]);
  });

  test("nothing is foreseen of a record that has been left", async () => {
    const from = desk();
    const come: Ticket[] = [];
    from.desk.foresee = (_, of) => (come.push(of), Promise.resolve(null));
    const { bench, asked } = open(from);
    bench.press("dead");
    asked[0]!.answer({ weighing: { ...weighing, predictive } });
    await settle();
    expect(come).toEqual([]);
  });
});
