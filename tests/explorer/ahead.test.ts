import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { Ahead } from "../../explorer/charts/ahead.js";
import type { Picture } from "../../explorer/charts/picture.js";

// a page that paints nothing: turns follow at once
beforeEach(() => void vi.stubGlobal("document", { hidden: true }));
afterEach(() => vi.unstubAllGlobals());
const settle = () => new Promise((resolve) => setTimeout(resolve));

function pictures() {
  const drawn: string[] = [];
  const ahead = new Ahead();
  const draw = (name: string) => {
    drawn.push(name);
    return { svg: name as unknown as Element, style: null } satisfies Picture;
  };
  const prepare = (...names: string[]) => ahead.prepare(new Map(names.map((n) => [n, () => draw(n)])));
  return { ahead, drawn, prepare, ready: (name: string) => ahead.get(() => name)?.svg };
}

test("every picture is drawn once, in turn", async () => {
  const { drawn, prepare, ready } = pictures();
  prepare("one");
  expect(ready("one")).toBeUndefined();
  await settle();
  prepare("one", "two");
  await settle();
  expect(drawn).toEqual(["one", "two"]);
  expect([ready("one"), ready("two"), ready("three")]).toEqual(["one", "two", undefined]);
});

test("what is not wanted any more is let go of, drawn or not", async () => {
  const { drawn, prepare, ready } = pictures();
  prepare("one");
  await settle();
  prepare("one", "two");
  prepare();
  await settle();
  expect(drawn).toEqual(["one"]);
  expect(ready("one")).toBeUndefined();
});

test("nothing is drawn for a figure that is gone", async () => {
  const { ahead, drawn, prepare } = pictures();
  prepare("one");
  ahead.forget();
  await settle();
  expect(drawn).toEqual([]);
});
