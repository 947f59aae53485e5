/** What somebody meets who opens the explorer for the first time: by what they see and press. */
import { readFileSync } from "node:fs";
import AxeBuilder from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { launch } from "./chromium.js";
import { serveExplorer, Visit, type Served } from "./served.js";

let served: Served;
let browser: Browser;

beforeAll(async () => {
  [served, browser] = [await serveExplorer(), await launch()];
});
afterAll(async () => {
  await browser.close();
  await served.close();
});

const demoTitle = (JSON.parse(
  readFileSync(new URL("../../scenarios/cold-standby-rail/ticket.json", import.meta.url), "utf8"),
) as { title: string }).title;

describe.each([
  { name: "phone", viewport: { width: 390, height: 844 } },
  { name: "bench", viewport: { width: 1280, height: 900 } },
])("at the $name's size", ({ viewport }) => {
  let visit: Visit;
  let page: Page;

  beforeEach(async () => {
    visit = await Visit.begin(browser, { viewport, acceptDownloads: true });
    page = visit.page;
    await page.goto(served.url);
  });
  afterEach(async () => {
    await visit.end();
    expect(visit.errors).toEqual([]);
    expect(visit.strays).toEqual([]);
  });

  const strip = () => page.getByRole("region", { name: "Log a start" });
  const record = () => page.getByRole("region", { name: "Record" });
  const doNext = () => page.getByRole("region", { name: "Do next" });
  const couldBe = () => page.getByRole("region", { name: "What it could be" });
  const settled = async () => {
    await doNext().and(page.locator("[aria-busy=false]")).waitFor({ timeout: 60_000 });
    await couldBe().and(page.locator("[aria-busy=false]")).waitFor({ timeout: 60_000 });
  };

  test("a fresh install opens on the demo ticket, with suspects and a next test", async () => {
    await settled();
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toContain(demoTitle);
    expect(await couldBe().textContent()).toMatch(/Suspect/);
    expect(await doNext().textContent()).toMatch(/min/);
  });

  test("five presses are five tally marks; belief and next test follow, undo takes one back, a reload keeps the rest", async () => {
    await settled();
    const before = { belief: await couldBe().textContent(), next: await doNext().textContent() };
    const press = strip().getByRole("button", { name: /memory/i });
    for (let n = 1; n <= 5; n++) await press.click();
    const row = record().getByRole("listitem").filter({ has: page.getByRole("heading", { level: 3 }) }).last();
    expect(await row.getByRole("img", { name: /\b5\b/ }).count()).toBe(1);
    expect(await press.getAttribute("aria-label").then((label) => label ?? press.textContent())).toContain("5 in this row");
    await settled();
    expect(await couldBe().textContent()).not.toBe(before.belief);
    expect(await doNext().textContent()).not.toBe(before.next);

    await strip().getByRole("button", { name: "Undo" }).click();
    expect(await press.textContent()).toContain("4 in this row");
    await settled();
    await page.reload();
    await settled();
    expect(await row.getByRole("img", { name: /\b4\b/ }).count()).toBe(1);
  });
});
