import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { Cell } from "../../../explorer/bench/record/worksheet/facts.js";
import type { Said } from "../../../explorer/bench/record/worksheet/worker.js";
import {
  LIMIT,
  Worksheet,
  type Postable,
} from "../../../explorer/bench/record/worksheet/worksheet.svelte.js";

/** A worker that never comes back from the cell "for ever". */
class Slow implements Postable {
  onmessage: Postable["onmessage"] = null;
  onerror: Postable["onerror"] = null;
  static started = 0;
  constructor() {
    Slow.started++;
    queueMicrotask(() => this.say({ ready: true }));
  }
  say = (data: Said) => this.onmessage?.call(null as never, { data } as MessageEvent);
  terminate = () => (this.onmessage = null);
  postMessage(cells: Cell[]) {
    for (const { id, expression } of cells) {
      if (expression === "for ever") return;
      this.say({ id, answer: [{ line: 1, value: expression }] });
    }
    this.say({ done: true });
  }
}
const cell = (id: string, expression: string): Cell => ({ id, expression, facts: null });

beforeEach(() => vi.useFakeTimers());
afterEach(() => vi.useRealTimers());

test("a cell that takes too long is stopped and says so; the others have their answers", async () => {
  const sheet = new Worksheet(() => new Slow());
  sheet.run([cell("a", "1"), cell("b", "for ever"), cell("c", "3")]);
  await vi.advanceTimersByTimeAsync(LIMIT + 1);
  expect(sheet.answers["a"]).toEqual([{ line: 1, value: "1" }]);
  expect(sheet.answers["b"]).toEqual([{ line: null, error: "it took longer than 1 s and was stopped" }]);
  expect(sheet.answers["c"]).toEqual([{ line: 1, value: "3" }]);
});

test("no worker is started for a record without cells, and the same cells are worked out once", async () => {
  Slow.started = 0;
  const sheet = new Worksheet(() => new Slow());
  sheet.run([]);
  await vi.advanceTimersByTimeAsync(1);
  expect(Slow.started).toBe(0);
  sheet.run([cell("a", "1")]);
  await vi.advanceTimersByTimeAsync(1);
  const { answers } = sheet;
  sheet.run([cell("a", "1")]);
  await vi.advanceTimersByTimeAsync(1);
  expect(sheet.answers).toBe(answers);
  sheet.run([cell("a", "2")]);
  await vi.advanceTimersByTimeAsync(1);
  expect(sheet.answers["a"]).toEqual([{ line: 1, value: "2" }]);
  expect(Slow.started).toBe(1);
});
