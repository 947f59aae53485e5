/** The race in the page: progress, a way to stop, and the very figures that `fitful race` prints. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { Catalog } from "../../engine/catalog/schema.js";
import { fitful } from "../command/fitful.js";
import { axe } from "./axe.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();
const folder = mkdtempSync(join(tmpdir(), "fitful-race-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function open(width: number, height: number) {
  const visit = await Visit.begin(browser, { viewport: { width, height } });
  await visit.page.goto(`${served.url}#/race`);
  await visit.page.getByRole("heading", { level: 1, name: "Strategy race" }).waitFor();
  // those that weigh every step are left to the race tests
  for (const slow of [/^Information per minute$/, /cost to the end/])
    await visit.page.getByRole("checkbox", { name: slow }).uncheck();
  return visit;
}

async function download(page: Page, button: string): Promise<string> {
  const [file] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: button }).click(),
  ]);
  return readFileSync(await file.path(), "utf8");
}

test("the same seed gives the same figures as the command, with labour and rates moved too", async () => {
  const visit = await open(1280, 900);
  const { page } = visit;
  await page.getByLabel("Tickets", { exact: true }).fill("12");
  await page.getByLabel("Seed").fill("11");
  await page.getByLabel("Labour by the hour").fill("75");
  await page.getByLabel("Faults show").selectOption("0.5");
  await page.getByLabel("What the priors are worth").selectOption("wrong");
  await page.getByRole("button", { name: "Race", exact: true }).click();
  await page.getByText("12 of 12 tickets").waitFor({ timeout: 60_000 });
  await page.getByRole("heading", { name: "Means, with 95 % intervals" }).waitFor();
  const shown = await download(page, "Save the figures (JSON)");
  const catalog = join(folder, "desktop.json");
  writeFileSync(catalog, await download(page, "Save the catalog"));
  const parsed = Catalog.parse(JSON.parse(readFileSync(catalog, "utf8")));
  expect(parsed.labourPerHour).toBe(75);

  const command = (await page.locator("code").textContent())!
    .replace("desktop.json", catalog)
    .split(" ")
    .slice(1);
  const { out } = await fitful([...command, "--json"]);
  expect(JSON.parse(shown)).toEqual(JSON.parse(out));

  // distributions, and not only means
  await page.getByRole("button", { name: "Minutes", exact: true }).click();
  expect(await page.getByRole("img", { name: /^minutes: how often/i }).count()).toBe(1);
  const { violations } = await axe(page).analyze();
  expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).join(" ")}`)).toEqual([]);
  expect(visit.errors).toEqual([]);
  expect(visit.strays).toEqual([]);
  await visit.end();
});

test("a long race shows how far it is, stops when told, and keeps what is done", async () => {
  const visit = await open(390, 844);
  const { page } = visit;
  await page.getByLabel("Tickets", { exact: true }).fill("5000");
  await page.getByRole("button", { name: "Race", exact: true }).click();
  await page.getByText(/[1-9]\d* of 5000 tickets, .*left/).waitFor({ timeout: 60_000 });
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByText(/of 5000 tickets, stopped/).waitFor();
  const { tickets } = JSON.parse(await download(page, "Save the figures (JSON)")) as { tickets: number };
  expect(tickets).toBeGreaterThan(0);
  expect(tickets).toBeLessThan(5000);
  // the command beside the figures is that of so many tickets
  expect(await page.locator("code").textContent()).toContain(`--tickets ${tickets} `);
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  expect(visit.errors).toEqual([]);
  await visit.end();
});
