/** Slips of the hand at the bench: wrong numbers, a closed sheet, a part shelved by keys, a browser that keeps nothing. */
import { afterEach, beforeEach, expect, test } from "vitest";
import { axe } from "./axe.js";
import { ticket } from "./bench-ticket.js";
import { openExplorer } from "./explorer.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let bench: RecordPage;

beforeEach(async () => {
  visit = await Visit.begin(browser, { viewport: { width: 1280, height: 900 }, locale: "en-GB" });
  bench = new RecordPage(visit.page);
});
afterEach(async () => {
  await visit.end();
  expect(visit.errors).toEqual([]);
});

test("a decimal comma in a number is a decimal comma, and a mark for thousands is refused", async () => {
  await bench.open(served.url, ticket);
  await bench.write("Note, photograph");
  await bench.dialog.getByRole("textbox", { name: "Note" }).fill("Nothing was touched.");
  const minutes = bench.dialog.getByLabel("Minutes");
  await minutes.fill("4.810,5");
  await bench.confirm();
  expect(await bench.dialog.isVisible()).toBe(true);
  await minutes.fill("2,5");
  await bench.confirm();
  await bench.dialog.waitFor({ state: "detached" });
  expect((await bench.now()).entries.at(-1)).toMatchObject({ kind: "note", minutes: 2.5 });
});

test("a reading that is no quantity stays in its form, with what is wrong", async () => {
  await bench.open(served.url, ticket);
  const before = (await bench.now()).entries.length;
  await bench.write("Measured");
  await bench.dialog.getByLabel("Measured").selectOption({ index: 1 });
  const value = bench.dialog.getByLabel(/^Reading in/);
  await value.fill("4.810,5");
  await bench.confirm();
  await bench.dialog.getByRole("alert").getByText("4.810,5").waitFor();
  expect(await value.inputValue()).toBe("4.810,5");
  await value.fill("4,8");
  await bench.confirm();
  await bench.dialog.waitFor({ state: "detached" });
  const { entries } = await bench.now();
  expect(entries.at(-1)).toMatchObject({ kind: "reading", value: 4.8 });
  expect(entries).toHaveLength(before + 1);
});

test("Escape throws away what was typed at the second time only", async () => {
  await bench.open(served.url, ticket);
  await bench.write("Note, photograph");
  const note = bench.dialog.getByRole("textbox", { name: "Note" });
  await note.fill("A long story");
  await visit.page.keyboard.press("Escape");
  await bench.dialog.getByRole("alert").waitFor();
  expect(await note.inputValue()).toBe("A long story");
  await visit.page.keyboard.press("Escape");
  await bench.dialog.waitFor({ state: "detached" });
  await bench.write("Note, photograph");
  await visit.page.keyboard.press("Escape");
  await bench.dialog.waitFor({ state: "detached" });
});

test("a part shelved by keys leaves the focus in the drawing; what is in the hand can be read", async () => {
  await bench.open(served.url, ticket);
  const drawing = visit.page.getByRole("group", { name: "Drawing of the machine" });
  const part = drawing.locator("[data-part]").first();
  await part.focus();
  await visit.page.keyboard.press("Enter");
  const { violations } = await axe(visit.page).include("[aria-label='Drawing of the machine']").analyze(); // prettier-ignore
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((n) => n.html).join()}`)).toEqual([]);
  await visit.page.keyboard.press("Delete");
  await expect
    .poll(() => visit.page.evaluate(() => document.activeElement?.hasAttribute("data-place")))
    .toBe(true);
});

test("what is typed in a form is not left without a question", async () => {
  await bench.open(served.url, ticket);
  await bench.kept();
  await bench.write("Note, photograph");
  await bench.dialog.getByRole("textbox").first().fill("Smells of salt.");
  const asks = () => visit.page.evaluate("!dispatchEvent(new Event('beforeunload', { cancelable: true }))");
  expect(await asks()).toBe(true);
  await bench.confirm();
  await bench.kept();
  expect(await asks()).toBe(false);
});

test("a machine without what it needs is said not to be one to try, and no place is emptied by default", async () => {
  await bench.open(served.url, ticket);
  await bench.write("Moved or set");
  await bench.dialog.getByLabel("A place").selectOption("Supply bay");
  await bench.confirm();
  const there = bench.dialog.getByRole("combobox", { name: /^Supply bay/ });
  expect(await there.evaluate((select: HTMLSelectElement) => select.validity.valueMissing)).toBe(true);
  await there.selectOption("empty");
  await bench.confirm();
  await bench.strip.getByText("It cannot be tried like this: supply bay empty.").waitFor();
  await bench.undo();
  await expect.poll(() => bench.strip.getByText("It cannot be tried").count()).toBe(0);
});

test("a test's clock ends with its row, and its minutes stand in the record", async () => {
  await bench.open(served.url, ticket);
  await bench.settled();
  await bench.doNext.getByRole("button", { name: /^Start this/ }).first().click(); // prettier-ignore
  const underWay = visit.page.getByRole("group", { name: "Under way" });
  await underWay.waitFor();
  await bench.press("memory", 1);
  await bench.press("memory", 11); // the longest row there is
  await underWay.waitFor({ state: "detached" });
  const row = (await bench.now()).entries.findLast((entry) => entry.kind === "starts");
  expect(row?.minutes).toBeGreaterThan(0);
});

test("a browser that keeps no settings still opens a ticket", async () => {
  await visit.page.addInitScript(() => {
    Object.defineProperty(window, "localStorage", {
      get() {
        throw new DOMException("denied", "SecurityError");
      },
    });
  });
  await bench.open(served.url, ticket);
  await bench.press("memory", 1);
  await bench.tally("memory", 1).waitFor();
});
