/** Tickets left out on the tuning page: shared out, counted, cancelled; and how their figures are said. */
import { describe, expect, test } from "vitest";
import { Gathered } from "../../engine/learn/gather.js";
import { pairRows, ticketsLeftOut } from "../../engine/learn/score/minutes.js";
import { minutesOf, type MinutesView, type PairRow } from "../../engine/learn/score/saved.js";
import type { Told } from "../../explorer/race/shared.js";
import { minutesRows, minutesVerdict } from "../../explorer/tuning/minutes-rows.js";
import { RunningMinutes } from "../../explorer/tuning/minutes.svelte.js";
import type { Share } from "../../explorer/tuning/minutes-worker.js";
import { past, space } from "../learn/small.js";

const gathered = new Gathered(space, false);
const slot = past({ cause: space.causes.indexOf("slot"), starts: 6, stops: 3 });
for (let k = 0; k < 30; k++) gathered.add(slot, `T${k}`);
const left = ticketsLeftOut(gathered, 3);

/** A worker in the same thread, which does its share when the test says so. */
function workers() {
  const made: { ended: boolean; tell(told: Told<PairRow>): void; run(): void }[] = [];
  const make = () => {
    let share: Share;
    const worker = {
      onmessage: null as ((event: MessageEvent<Told<PairRow>>) => void) | null,
      onerror: null,
      postMessage: (asked: Share) => void (share = structuredClone(asked)),
      terminate: () => void (own.ended = true),
    };
    const own = {
      ended: false,
      tell: (told: Told<PairRow>) => worker.onmessage?.({ data: told } as MessageEvent<Told<PairRow>>),
      run() {
        for (const row of pairRows(share.left, share.from, share.stride)) own.tell({ row });
        own.tell({ done: true });
      },
    };
    made.push(own);
    return worker as unknown as Worker;
  };
  return { made, make };
}

describe("tickets being worked", () => {
  test("shared out among two workers they are counted, and add up to the figures of the command", async () => {
    const { made, make } = workers();
    const running = new RunningMinutes((wanted) => Promise.resolve(wanted === 3 ? left : null), 2, make);
    running.wanted = 3;
    const started = running.start();
    expect(running.state).toBe("choosing");
    await started;
    made[1]!.run();
    expect([running.state, running.done, running.of, running.view]).toEqual(["working", 1, 3, null]);
    made[0]!.run();
    expect([running.state, running.done]).toEqual(["done", 3]);
    expect(running.view).toEqual(minutesOf([...pairRows(left)]));
  });

  test("cancelled, the workers end and the figures of the run before stay", async () => {
    const { made, make } = workers();
    const running = new RunningMinutes(() => Promise.resolve(left), 1, make);
    await running.start();
    made[0]!.run();
    const { view } = running;
    await running.start();
    running.cancel();
    expect([running.state, made[1]!.ended]).toEqual(["cancelled", true]);
    expect(running.view).toBe(view);
    expect(view).not.toBeNull();
  });

  test("cancelled while tickets are chosen, none is worked when they come", async () => {
    const { made, make } = workers();
    const running = new RunningMinutes(() => Promise.resolve(left), 1, make);
    const started = running.start();
    running.cancel();
    await started;
    expect([running.state, made.length]).toEqual(["cancelled", 0]);
  });

  test.each([
    ["while tickets are chosen", { failure: "no memory" }],
    ["while they are worked", left],
  ])("a failure %s is said, and what was asked for stays", async (_, answer) => {
    const { made, make } = workers();
    const running = new RunningMinutes(() => Promise.resolve(answer), 1, make);
    running.wanted = 7;
    await running.start();
    made[0]?.tell({ failure: "no memory" });
    expect([running.state, running.failure, running.wanted]).toEqual(["failed", "no memory", 7]);
  });
});

describe("what is said", () => {
  const paired = (before: number, by: number, half: number) => ({
    before,
    after: before + by,
    difference: { value: by, low: by - half, high: by + half },
  });
  const view = (by: number): MinutesView => ({
    strategy: "planner",
    tickets: 20,
    skipped: 0,
    minutes: paired(30, by, 2),
    total: paired(100, 0, 0),
    right: paired(0.5, 0.25, 0.5),
  });
  test("both means, the difference and its interval, with signs", () => {
    expect(minutesRows(view(-3.04)).map((row) => Object.values(row).slice(1))).toEqual([
      ["30.0", "27.0", "−3.0", "−5.0 to −1.0"],
      ["100", "100", "+0", "+0 to +0"],
      ["50 %", "75 %", "+25 %", "−25 % to +75 %"],
    ]);
  });
  test.each([
    [-3, true, "It saves minutes: 3.0 (1.0 to 5.0) a ticket on 20 machines."],
    [3, false, "It takes longer: 3.0 (1.0 to 5.0) minutes more a ticket on 20 machines."],
    [-2, null, "It cannot be told to save minutes: −2.0 (−4.0 to +0.0) a ticket on 20 machines."],
  ])("minutes that differ by %d with 2 to either side", (by, saves, said) => {
    expect(minutesVerdict(view(by))).toEqual({ said, saves });
  });
});
