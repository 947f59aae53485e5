/** What the panels beside the record say: tests that tell the same, waiting, priors that matter, dependences, keys. */
import { describe, expect, test } from "vitest";
import { alikeTests } from "../../explorer/bench/next/alike.js";
import { dependenceWords } from "../../explorer/bench/fitted/dependence-words.js";
import { nearestPlace } from "../../explorer/bench/fitted/nearest-place.js";
import { waitingWords } from "../../explorer/bench/next/waiting.js";
import { whatIf } from "../../explorer/bench/suspects/what-if.js";
import { Words } from "../../explorer/bench/words.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { isHere } from "../../engine/ticket/setup.js";
import { markedSpares, shelfWords } from "../../explorer/bench/record/went.js";
import type { SensitivityView, TestView } from "../../engine/weighing.js";
import { aTest, catalog, finish, ticket, weighing } from "./small.js";

const answer = (outcome: string, chance: number) => ({ text: outcome, outcome, chance, effects: [] });
const starts = (id: string, bits: number, stops: number, more: Partial<TestView> = {}): TestView => ({
  ...aTest,
  id,
  bits,
  answers: [answer("clean", 1 - stops), answer("dead", stops)],
  ...more,
});
const look = (id: string, on: string): TestView => ({ ...aTest, id, kind: "finding", finding: { id: "corroded", on } }); // prettier-ignore

describe("tests that tell the same", () => {
  test("stand under the one that is ranked first", () => {
    const tests = [
      starts("as it is", 0.2, 0.3),
      starts("fan out", 0.195, 0.305),
      look("slot A1", "A1"),
      starts("no less, but other answers", 0.2, 0.5),
      starts("tells less", 0.1, 0.3),
      starts("warm", 0.2, 0.3, { conditions: {} }),
      starts("longer", 0.2, 0.3, { n: 3 }),
      look("slot A2", "A2"),
    ];
    expect(alikeTests(tests).map(({ test, others }) => [test.id, ...others.map(({ id }) => id)])).toEqual([
      ["as it is", "fan out"],
      ["slot A1", "slot A2"],
      ["no less, but other answers"],
      ["tells less"],
      ["warm"],
      ["longer"],
    ]);
  });

  test("a look and a row of starts are never the same, whatever they tell", () => {
    expect(alikeTests([{ ...look("l", "A1"), answers: [] }, starts("s", aTest.bits, 0.3)])).toHaveLength(2);
  });
});

test("waiting is said in hours of the clock, at most for a row that may end early", () => {
  const [rest] = catalog.conditions!;
  const cold = { ...rest!.classes[1]!, unattended: 60 };
  const resting = { ...catalog, conditions: [{ ...rest!, classes: [rest!.classes[0]!, cold] }] };
  expect(waitingWords({ ...aTest, n: 2 }, resting)).toBe("2 h");
  expect(waitingWords({ ...aTest, n: 3, stopEarly: true }, resting)).toBe("up to 3 h");
  expect(waitingWords({ ...aTest, conditions: {} }, resting)).toBe("");
  expect(waitingWords(aTest, catalog)).toBe("");
});

test("a prior that matters is said with what would lead and what would be done next", () => {
  const view: SensitivityView = {
    factor: 3,
    leading: "a",
    p: 0.6,
    test: aTest.id,
    moves: [
      { prior: "b", factor: 3, leading: "b", p: 0.5, former: 0.4, test: null },
      { prior: "unlisted", factor: 1 / 3, leading: "a", p: 0.62, former: 0.62, test: "t2" },
    ],
  };
  const advice = { target: "active" as const, entropy: 1, tests: [aTest, { ...aTest, id: "t2", title: "Look at the fan." }], dropped: 0, finish }; // prettier-ignore
  const { now, moves } = whatIf(view, weighing, advice);
  expect(now).toBe(`Cause a leads with 60 %. By one start or look, what tells most is: ${aTest.title}.`);
  expect(moves.map(({ text }) => text)).toEqual([
    "Cause b 3 times as likely before the record: Cause b would lead with 50 %, Cause a would have 40 %.",
    "Not on the list 3 times less likely before the record: the next test would be: Look at the fan.",
  ]);
});

test("what a suspect sits in, what it depends on, and how much the next start exercises it", () => {
  const words = new Words(catalog, ticket);
  const depends = { cause: "a", exposure: 0.5, positions: ["A2"], settings: ["speed"], conditions: ["rest"] };
  expect(dependenceWords({ parts: ["m1"], position: "A1" }, depends, words)).toBe(
    "Sits in module 1 and slot A1; depends on slot A2, speed and rest. The next start exercises it 0.50 times as much as a usual one.",
  );
  const idle = { ...depends, exposure: 0, positions: [], settings: [], conditions: [] };
  expect(dependenceWords({ parts: [], position: null }, idle, words)).toBe(
    "Tied to the machine as a whole. The next start does not exercise it.",
  );
  expect(dependenceWords({ parts: ["m2"], position: null }, undefined, words)).toBe("Sits in module 2.");
});

test("an arrow leads to the nearest place that way, what lies aside counting twice", () => {
  const at = (id: string, x: number, y: number) => ({ id, x, y, w: 2, h: 2 });
  const [from, near, far, below] = [at("from", 0, 0), at("near", 10, 0), at("far", 8, 5), at("below", 1, 9)];
  const all = [from!, near!, far!, below!];
  expect(nearestPlace("ArrowRight", from!, all)).toBe("near"); // 10, against 8 + 2 · 5; below is 1 + 2 · 9
  expect(nearestPlace("ArrowDown", from!, all)).toBe("below");
  expect(nearestPlace("ArrowLeft", from!, all)).toBeNull();
  expect(nearestPlace("Enter", from!, all)).toBeNull();
});

test("a marked spare says on the shelf how bad it may be; what has gone cannot be taken up", () => {
  const part = { id: "m9", kind: "module" };
  const went = (to: "spare" | "recycled", bad?: number) => ({
    ...part,
    went: { to, ...(bad !== undefined && { bad }) },
  });
  const said = [
    part,
    { ...part, spare: true, atHand: false },
    went("spare", 0.43),
    went("spare"),
    went("recycled", 0.9),
  ];
  expect(said.map((one) => [shelfWords(one), isHere(one)])).toEqual([
    ["taken out", true],
    ["spare, to be bought", true],
    ["marked spare, bad: 43 %", true],
    ["marked spare, not known to be good", true],
    ["recycled", false],
  ]);
});

test("the next intake is told of marked spares of its kinds of part, and whose they were", () => {
  const kept = (kind: string, note?: string): Ticket => ({
    ...ticket,
    machine: {
      ageYears: 4,
      parts: [{ id: "m9", kind, went: { to: "spare", bad: 0.2, ...(note && { note }) } }],
    },
  });
  expect(markedSpares([ticket, kept("module", "red dot"), kept("lamp")], catalog)).toEqual([
    "Module from “Front desk”, bad: 20 %, red dot",
  ]);
});
