import { describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { createWeigher } from "../../engine/weigh.js";
import { append, press, remove, replace } from "../../explorer/bench/ticket-edits.js";
import { Answers } from "../../explorer/store/answers.js";
import { Engine, type Postable } from "../../explorer/store/engine.js";
import type { Answer, Request } from "../../explorer/store/messages.js";
import { catalog, ticket, weighing } from "./small.js";

/** A worker that answers when the test says so. */
class Puppet implements Postable {
  posted: Request[] = [];
  ended = false;
  onmessage: Worker["onmessage"] = null;
  onerror: Worker["onerror"] = null;
  postMessage = (request: Request) => void this.posted.push(request);
  terminate = () => void (this.ended = true);
  answer(data: Answer) {
    this.onmessage?.call(this as unknown as Worker, { data } as MessageEvent<Answer>);
  }
}
const belief: Answer = { weighing, same: 0 };
function engine() {
  const puppets: Puppet[] = [];
  const made = new Engine(() => {
    const puppet = new Puppet();
    puppets.push(puppet);
    return puppet;
  });
  return { made, puppets };
}
const named = (title: string) => ({ ...ticket, title });

test("one request runs at a time, and of those that wait only the latest is asked", async () => {
  const { made, puppets } = engine();
  const asked = ["one", "two", "three"].map((title) => made.weigh(catalog, named(title), "belief"));
  expect(puppets[0]!.posted.length).toBe(1);
  puppets[0]!.answer(belief);
  expect(puppets[0]!.posted).toMatchObject([
    { ticket: { whole: named("one") } },
    { ticket: { step: { path: ["title"], now: "three" } } },
  ]);
  puppets[0]!.answer(belief);
  expect(await Promise.all(asked)).toEqual([{ weighing }, null, { weighing }]);
});

describe("what may come", () => {
  test("waits for what is being worked out", async () => {
    const { made, puppets } = engine();
    void made.weigh(catalog, named("one"), "belief");
    const ready = made.foresee(catalog, named("two"));
    expect(puppets[0]!.posted.length).toBe(1);
    puppets[0]!.answer(belief);
    puppets[0]!.answer(belief);
    expect(await ready).toEqual({ weighing });
  });

  test("overtakes nothing, and is overtaken", async () => {
    const { made, puppets } = engine();
    const first = made.weigh(catalog, named("one"), "belief");
    const ready = made.foresee(catalog, named("two"));
    const second = made.weigh(catalog, named("three"), "belief");
    expect(await ready).toBeNull();
    expect(await made.foresee(catalog, named("four"))).toBeNull();
    puppets[0]!.answer(belief);
    puppets[0]!.answer(belief);
    expect(await Promise.all([first, second])).toEqual([{ weighing }, { weighing }]);
    expect(puppets[0]!.posted.length).toBe(2);
  });

  test("is of the ticket that was asked about last, or is left", async () => {
    const { made, puppets } = engine();
    void made.weigh(catalog, ticket, "belief");
    puppets[0]!.answer(belief);
    await made.foresee(catalog, { ...ticket, id: "another" });
    await made.foresee({ ...catalog }, ticket);
    expect(puppets[0]!.posted.length).toBe(1);
  });
});

test("a catalog is sent once, and again to a new worker", async () => {
  const { made, puppets } = engine();
  void made.weigh(catalog, ticket, "belief");
  puppets[0]!.answer(belief);
  void made.weigh(catalog, ticket, "everything");
  expect(puppets[0]!.posted.map((r) => (r.kind === "weigh" ? r.catalog : "?"))).toEqual([catalog, null]);
  made.close();
  void made.weigh(catalog, ticket, "belief");
  expect(puppets[1]!.posted[0]).toMatchObject({ catalog });
});

test("a failure reaches the one who asked, and the next request is still answered", async () => {
  const { made, puppets } = engine();
  const first = made.weigh(catalog, ticket, "belief");
  const second = made.weigh(catalog, ticket, "belief");
  puppets[0]!.answer({ failure: "out of memory" });
  await expect(first).rejects.toThrow("out of memory");
  puppets[0]!.answer(belief);
  expect(await second).toEqual({ weighing });
});

test("after a failure the ticket is told whole", async () => {
  const { made, puppets } = engine();
  const first = made.weigh(catalog, ticket, "belief");
  puppets[0]!.answer({ failure: "out of memory" });
  await expect(first).rejects.toThrow();
  void made.weigh(catalog, named("again"), "belief");
  expect(puppets[0]!.posted.at(-1)).toMatchObject({ catalog, ticket: { whole: named("again") } });
});

describe("a page and a worker that tell each other only what has changed", () => {
  /** The worker as it is, behind copies of all that is said. */
  class Real implements Postable {
    readonly answers = new Answers();
    /** how many views the last weighing carried */
    carried = 0;
    onmessage: Worker["onmessage"] = null;
    onerror: Worker["onerror"] = null;
    terminate = () => undefined;
    postMessage = (request: Request) => {
      const data = structuredClone(this.answers.to(structuredClone(request)));
      if ("weighing" in data) this.carried = data.weighing.entries.length;
      queueMicrotask(() => this.onmessage?.call(this as unknown as Worker, { data } as MessageEvent<Answer>));
    };
  }
  const sides = (["belief", "everything"] as const).map((wanted) => {
    const real = new Real();
    return { wanted, real, made: new Engine(() => real) };
  });
  const start = (of: Ticket, outcome: string) => press(of, catalog, { outcome, conditions: {}, at: "" });
  const note = (of: Ticket, text: string) => append(of, { kind: "note", text });
  const first = note(start(note(start(ticket, "memory"), "one"), "clean"), "two");

  test.each<[string, Ticket, number]>([
    ["a ticket that was not known", first, 5],
    ["the same again", first, 0],
    ["what its money is in", { ...first, currency: "EUR" }, 0],
    ["one more start", start(first, "dead"), 1],
    ["undone", first, 0],
    ["an early entry changed", replace(first, { kind: "note", id: "e3", text: "other" }), 3],
    ["entries deleted", remove(remove(first, "e3"), "e5"), 1],
    ["another machine", { ...first, machine: { ...first.machine, ageYears: 9 } }, 5],
    ["another ticket", { ...first, id: "t2" }, 5],
  ])("%s", async (_, of, views) => {
    for (const { wanted, real, made } of sides) {
      const answer = await made.weigh(catalog, of, wanted);
      expect(answer).toEqual(createWeigher(catalog).weigh(of, { advice: wanted === "everything" }));
      expect(real.carried).toBe(views);
      expect(await made.advise(catalog, of)).toMatchObject({ advice: { target: "active" } });
    }
  });

  test("what is foreseen is told as it would be if it came", async () => {
    const { real, made } = sides[0]!;
    await made.weigh(catalog, first, "belief");
    for (const outcome of ["clean", "memory"]) {
      const come = start(first, outcome);
      expect(await made.foresee(catalog, come)).toEqual(
        createWeigher(catalog).weigh(come, { advice: false }),
      );
      expect(real.carried).toBe(1);
    }
  });
});
