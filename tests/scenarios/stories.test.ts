/** The demo tickets tell their stories: who leads, what taught it, what is advised. Not every digit. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseCatalog, parseTicket, createWeigher } from "../../engine/weigh.js";
import type { EntryView, Weighing } from "../../engine/weighing.js";

const read = (path: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../${path}`, import.meta.url), "utf8"));

const parsed = parseCatalog(read("priors/desktop.json"));
if (!("catalog" in parsed)) throw new Error(parsed.issues.map((x) => x.message).join("\n"));
const { catalog } = parsed;

/** Weighed without redraws, which no story needs. */
function weigh(folder: string, advice = false): Weighing {
  const data = parseTicket(read(`scenarios/${folder}/ticket.json`));
  if (!("ticket" in data)) throw new Error(data.issues.map((x) => x.message).join("\n"));
  const ticket = { ...data.ticket, options: { ...data.ticket.options, draws: 0 } };
  const weighed = createWeigher(catalog).weigh(ticket, { advice });
  if (!("weighing" in weighed)) throw new Error(weighed.issues.map((x) => x.message).join("\n"));
  return weighed.weighing;
}

const present = (weighing: Weighing, cause: string): number =>
  weighing.causes.find((c) => c.id === cause)!.present.p;

/** Causes by P(it was one), the likeliest first. */
const ranking = (weighing: Weighing): string[] =>
  [...weighing.causes].sort((x, y) => y.present.p - x.present.p).map((c) => c.id);

const entry = (weighing: Weighing, kind: string, nth: number): EntryView =>
  weighing.entries.filter((e) => e.kind === kind)[nth]!;

const SLOW = 180_000;

describe("cold-standby-rail", { timeout: SLOW }, () => {
  const weighing = weigh("cold-standby-rail", true);

  test("the supply leads, and the strip is close enough to be worth a test", () => {
    expect(ranking(weighing).slice(0, 2)).toEqual(["standby-rail@supply1", "outlet-strip"]);
    expect(present(weighing, "outlet-strip")).toBeGreaterThan(0.2);
  });

  test("six warm starts on the bench teach less about the supply than fourteen mornings told at half trust", () => {
    const about = (nth: number) => Math.abs(entry(weighing, "starts", nth).ledger["standby-rail@supply1"]!);
    expect(about(2)).toBeLessThan(1); // under a deciban
    expect(about(0)).toBeGreaterThan(5);
  });

  test("first a meter on the standby rail, which takes three minutes", () => {
    expect(weighing.next!.tests[0]!.reading).toEqual({ id: "standby-volts", on: "supply1" });
  });
});

test(
  "contact-not-module: the fault stays with the slot, and the modules that were bought are cleared",
  { timeout: SLOW },
  () => {
    const weighing = weigh("contact-not-module");
    expect(ranking(weighing)[0]).toBe("slot-contact@board1.B1");
    for (const module of ["module3", "module4"])
      for (const cause of ["module-weak", "module-edge"])
        expect(present(weighing, `${cause}@${module}`)).toBeLessThan(0.05);
  },
);

test("swap-names-nobody: the firmware leads, and the board is not cleared by it", { timeout: SLOW }, () => {
  const weighing = weigh("swap-names-nobody");
  expect(ranking(weighing)[0]).toBe("firmware-memory@board1");
  const ofTheBoard = ["board-memory-lanes@board1", "slot-contact@board1.A1", "slot-contact@board1.B1"];
  expect(ofTheBoard.reduce((sum, cause) => sum + present(weighing, cause), 0)).toBeGreaterThan(0.2);
});

test("nothing-wrong-with-it: days on the bench leave only what is at the counter", { timeout: SLOW }, () => {
  const weighing = weigh("nothing-wrong-with-it", true);
  expect(ranking(weighing)[0]).toBe("outlet-strip");
  const outside = ["outlet-strip", "wall-outlet", "owner-way", "mains-dips"];
  expect(
    Math.min(...weighing.causes.filter((c) => c.present.p > 0.05).map((c) => outside.indexOf(c.id))),
  ).toBeGreaterThanOrEqual(0);
  expect(weighing.next!.tests[0]!.finding).toEqual({ id: "outlet-looked-at", on: null });
});

test("two-at-once: a pair leads, of a module and the supply", { timeout: SLOW }, () => {
  const weighing = weigh("two-at-once");
  expect(new Set(weighing.sets[0]!.causes)).toEqual(new Set(["module-weak@module1", "rail-sag@supply1"]));
  expect(present(weighing, "rail-sag@supply1")).toBeGreaterThan(0.8);
});

test(
  "not-on-the-list: once the board is changed and nothing is better, the reader is told that the list may lack it",
  { timeout: SLOW },
  () => {
    const weighing = weigh("not-on-the-list");
    expect(weighing.unlisted.p).toBeGreaterThan(0.2);
    expect(weighing.warnings.map((w) => w.code)).toContain("unlisted");
    const before = weighing.entries.filter((e) => e.kind === "change").at(-1)!;
    expect(before.unlisted).toBeLessThan(0.1);
  },
);

test(
  "slot-dependent-memory-stop: the firmware is updated before a board is bought",
  { timeout: SLOW },
  () => {
    const weighing = weigh("slot-dependent-memory-stop", true);
    const { tests } = weighing.next!;
    const update = tests.findIndex((t) => t.repair?.repair === "update-firmware");
    const board = tests.findIndex((t) => Object.values(t.change?.fit ?? {}).includes("board2"));
    expect(update).toBeGreaterThanOrEqual(0);
    expect(tests[board] === undefined || tests[board].bitsPerMinute < tests[update]!.bitsPerMinute).toBe(
      true,
    );
    expect(present(weighing, "firmware-memory@board1")).toBeGreaterThan(
      present(weighing, "board-memory-lanes@board1"),
    );
  },
);
