import { expect, test } from "vitest";
import { isFixed, whatIf } from "../../engine/command/fixed.js";
import { usageWords } from "../../engine/plan/usage.js";
import type { ProvingView, ReleaseView, SensitivityView } from "../../engine/weighing.js";
import { catalog } from "../plan/small.js";

const proving = (needed: number | null, more: Partial<ProvingView> = {}): ProvingView => ({
  title: "Start it cold, 7 times, as it is.",
  change: null,
  conditions: {},
  needed,
  minutes: needed === null ? null : 2 * needed,
  curve: [0, 1, 2, 3, 5, 10, 20, 50, 100, 200, 500].map((n) => ({ n, comeback: 0.5 / (n + 1) })),
  ...more,
});
const release: ReleaseView = {
  nothingAtWork: 0.62,
  comeback: 0.5,
  use: [{ conditions: {}, perDay: 1 }],
  days: 30,
  limit: 0.05,
  setup: { in: "own", fit: {}, settings: {}, conditions: {} },
  here: proving(10),
  best: null,
};
/** As one line: where the page breaks it says nothing. */
const said = (of: ReleaseView) => isFixed(of, catalog).replace(/\s+/g, " ");

test("how a machine is used is said in the catalog's own names", () => {
  expect(usageWords(release, catalog)).toBe("in 30 days of 1 start a day");
  const use = [
    { conditions: { rest: "cold" }, perDay: 1 },
    { conditions: { rest: "warm", load: "soak" }, perDay: 2.5 },
  ];
  expect(usageWords({ use, days: 90 }, catalog)).toBe("in 90 days of 1 cold and 2.5 warm soak starts a day");
});

test("the page says the chance, the limit and how many starts are still needed", () => {
  expect(said(release)).toContain("at work any more: 62 %");
  expect(said(release)).toContain("comeback in 30 days of 1 start a day: 50 %; the limit is 5 %");
  expect(said(release)).toContain("As it is, 10 further clean starts (20 minutes) would.");
  expect(said({ ...release, here: proving(1) })).toContain("1 further clean start (2 minutes)");
  expect(said({ ...release, here: proving(0) })).toContain("No further start is needed");
  expect(said({ ...release, here: proving(null) })).toContain("500 further clean starts would not");
});

test("and the better way, with its own column of the curve", () => {
  expect(said(release)).not.toContain("the better way");
  const both = said({ ...release, here: proving(null), best: proving(7) });
  expect(both).toContain("Better: Start it cold, 7 times, as it is. That is 14 minutes");
  expect(both).toContain("the better way 0 50 % 50 % 1 25 % 25 %");
});

test("what if a prior is wrong names the prior, the direction and what would change", () => {
  const names = new Map([
    ["a", "Weak supply"],
    ["b", "Tired module"],
  ]);
  const tests = new Map([["t", "Start it once, as it is."]]);
  const view: SensitivityView = { factor: 3, leading: "a", p: 0.5, test: null, moves: [] };
  const page = (moves: SensitivityView["moves"]) =>
    whatIf({ ...view, moves }, names, tests).replace(/\s+/g, " ");
  expect(page([])).toContain("No single prior, 3 times as likely or as unlikely, would change");
  const move = { prior: "b", factor: 3, leading: "b", p: 0.6, former: 0.3, test: null };
  expect(page([move])).toContain(
    "Tired module, 3 times as likely beforehand: Tired module would lead with 60 %",
  );
  const other = { prior: "a", factor: 1 / 3, leading: "a", p: 0.4, former: 0.4, test: "t" };
  expect(page([other])).toContain(
    "Weak supply, 3 times as unlikely beforehand: the test would be: Start it once",
  );
  expect(page([move, other, move, other, move])).toContain("and 2 more such changes");
});
