/** The tuning page as an analyst uses it: a table, its columns, bad rows, fit, cancel, calibration, keep, undo. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import type { MinutesView } from "../../engine/learn/score/saved.js";
import { fitful } from "../command/fitful.js";
import { catalog } from "../learn/small.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();
const folder = mkdtempSync(join(tmpdir(), "fitful-tuning-page-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const PATIENCE = { timeout: 90_000 };

async function opened(width: number, height: number, colorScheme: "light" | "dark") {
  const visit = await Visit.begin(browser, { viewport: { width, height }, colorScheme });
  await visit.page.goto(`${served.url}#/tuning`);
  const press = (name: string) => visit.page.getByRole("button", { name, exact: true }).click(PATIENCE);
  return { visit, page: visit.page, press };
}

test.each([
  [1280, 900, "light"],
  [390, 844, "dark"],
] as const)("from the example table to a kept catalog and back, at %d px", async (width, height, scheme) => {
  const { visit, page, press } = await opened(width, height, scheme);
  await press("The example, invented");
  await press("Read the table");
  await page.getByText("3032 rows: 2980 tickets, 52 rows rejected").waitFor(PATIENCE);
  await page.locator("summary", { hasText: "The rejected rows" }).click();
  const [download] = await Promise.all([page.waitForEvent("download"), press("Save the rejected rows")]);
  expect(readFileSync(await download.path(), "utf8").split("\r\n").length).toBe(52 + 2); // the heading, and what follows the last line
  await press("Fit");
  await page.getByText(/^It helps: \+/).waitFor(PATIENCE);
  await page.getByRole("img", { name: /Chances said against how often it was so/ }).waitFor();
  await page.getByRole("img", { name: /Figures before and after tuning/ }).waitFor();

  expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(width);
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map((v) => `${v.id}: ${v.nodes[0]?.html ?? ""}`)).toEqual([]);

  await press("Keep as a kind of machine");
  await page.getByText("Kept: new tickets can be taken in with it.").waitFor();
  const kinds = page.getByLabel("Kind of machine").locator("option");
  expect(await kinds.count()).toBe(2);
  await press("Undo");
  await page.getByText("Taken back: as it was before.").waitFor();
  expect(await kinds.count()).toBe(1);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("a table of one's own: columns corrected and remembered, words given a meaning; cancel leaves everything as it was", async () => {
  const rows = Array.from(
    { length: 300 },
    (_, k) => `${k % 3 === 0 ? "weak psu" : "slot-contact"},6,${1 + (k % 5)}`,
  );
  const file = join(folder, "own.csv");
  writeFileSync(file, ["what,n tried,n bad", ...rows].join("\n"));
  const { visit, page, press } = await opened(1280, 900, "light");
  const choose = () => page.locator('input[type="file"]').setInputFiles(file);
  const column = (label: string) => page.getByRole("combobox", { name: new RegExp(`^${label}`) });
  await choose();
  await column("cause").selectOption("what");
  await column("starts before").selectOption("n tried");
  await column("how many of them").selectOption("n bad");
  await press("Read the table");
  await page.getByText("300 rows: 200 tickets, 100 rows rejected").waitFor(PATIENCE);
  await page.getByRole("combobox", { name: /^weak psu/ }).selectOption("standby-rail");
  await press("Read again");
  await page.getByText("300 rows: 300 tickets, 0 rows rejected").waitFor(PATIENCE);
  await press("Fit");
  await press("Cancel");
  await page.getByText(/^Cancelled/).waitFor();

  await page.reload();
  await choose();
  expect(await column("cause").inputValue()).toBe("what");
  await press("Read the table");
  await page.getByText("300 rows: 300 tickets, 0 rows rejected").waitFor(PATIENCE);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

/** The lamp box as a kind of machine of the shop's own: its machines are worked in a tenth of the time. */
const keepLampBox = (page: Page) =>
  page.evaluate(async (kept) => {
    const ended = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error ?? new Error("no database"));
      });
    const db = await ended(indexedDB.open("fitful"));
    await ended(db.transaction("catalogs", "readwrite").objectStore("catalogs").put(kept));
    db.close();
  }, catalog);

const past = join(folder, "past.csv");
const lampBox = join(folder, "lamp-box.json");
const pastRows = Array.from({ length: 90 }, (_, k) => `T${k},${k % 3 ? "slot" : "rail"},6,${k % 3 ? 3 : 5}`);
writeFileSync(past, ["ticket,cause,starts,stops", ...pastRows].join("\n"));
writeFileSync(lampBox, JSON.stringify(catalog));

/** The page as far as the scores, and what asks for the minutes of so many tickets. */
async function tunedLampBox(width: number, height: number, scheme: "light" | "dark") {
  const opening = await opened(width, height, scheme);
  const { page, press } = opening;
  await page.getByRole("heading", { level: 1 }).waitFor();
  await keepLampBox(page);
  await page.reload();
  await page.getByLabel("Kind of machine").selectOption(catalog.id);
  await page.locator('input[type="file"]').setInputFiles(past);
  await press("Read the table");
  await press("Fit");
  const saves = page.getByRole("region", { name: "Does it save minutes?" });
  const wanted = saves.getByLabel("Tickets left out, 2 to 90");
  const ask = async (tickets: number) => {
    await wanted.fill(String(tickets));
    await press("Work them before and after tuning: some seconds a ticket");
  };
  const look = async () => {
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(width);
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map((v) => `${v.id}: ${v.nodes[0]?.html ?? ""}`)).toEqual([]);
  };
  return { ...opening, saves, wanted, ask, look };
}

test("minutes before and after are those of the command", async () => {
  const { visit, page, press, saves, ask, look } = await tunedLampBox(1280, 900, "light");
  await ask(4);
  await saves.getByText(/^4 machines made after tickets left out;/).waitFor(PATIENCE);
  await saves.locator("summary").click();
  const [download] = await Promise.all([page.waitForEvent("download"), press("Save the figures (JSON)")]);
  const { out } = await fitful(["tune", past, "--catalog", lampBox, "--minutes", "4", "--json"]);
  const { minutes } = JSON.parse(out) as { minutes: MinutesView };
  expect(JSON.parse(readFileSync(await download.path(), "utf8"))).toEqual(minutes);
  const { before, after } = minutes.minutes;
  const row = `Minutes of labour ${before.toFixed(1)} ${after.toFixed(1)}`;
  await saves.getByRole("row", { name: row }).waitFor();
  await look();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("minutes cancelled on a phone: what was asked for stays, and the figures there were", async () => {
  const { visit, press, saves, wanted, ask, look } = await tunedLampBox(390, 844, "dark");
  await ask(2);
  await saves.getByText(/^2 machines made after tickets left out;/).waitFor(PATIENCE);
  await ask(90);
  await saves.getByText(/^[1-9]\d* of 90 tickets$/).waitFor(PATIENCE);
  await press("Cancel");
  await saves.getByText("Cancelled. Nothing has changed.").waitFor();
  expect(await wanted.inputValue()).toBe("90");
  expect(await saves.getByText(/^2 machines made/).isVisible()).toBe(true);
  await look();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("a table that cannot be read gets an answer", async () => {
  const file = join(folder, "broken.csv");
  writeFileSync(file, 'Fault,Note\nslot-contact,"oops\n');
  const { visit, page } = await opened(390, 844, "light");
  await page.locator('input[type="file"]').setInputFiles(file);
  await page.getByText("a quote that is never closed").waitFor(PATIENCE);
  const others = [
    ["", "an empty file"],
    ['{\n  "format": "fitful/ticket@1"}', "the file of one ticket"],
    ['[{"a": 1}]', "JSON"],
  ] as const;
  for (const [text, answer] of others) {
    writeFileSync(file, text);
    await page.locator('input[type="file"]').setInputFiles(file);
    await page.getByRole("cell", { name: answer, exact: true }).waitFor(PATIENCE);
    expect(await page.getByRole("heading", { name: "Which column is what" }).count()).toBe(0);
  }
  expect(visit.errors).toEqual([]);
  await visit.end();
});
