/** The tuning page as an analyst uses it: a table, its columns, bad rows, fit, cancel, calibration, keep, undo. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import type { MinutesView } from "../../engine/learn/score/saved.js";
import { fitful } from "../command/fitful.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { catalog } from "../learn/small.js";
import { axe } from "./axe.js";
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
  const { violations } = await axe(page).analyze();
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
  await pressSoonAfter(page, "Fit", "Cancel");
  await page.getByText(/^Cancelled/).waitFor();

  await page.reload();
  await choose();
  expect(await column("cause").inputValue()).toBe("what");
  await press("Read the table");
  await page.getByText("300 rows: 300 tickets, 0 rows rejected").waitFor(PATIENCE);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

/** From within the page, where the second is pressed as soon as it is there: the fit of a short table is soon over. */
const pressSoonAfter = (page: Page, first: string, then: string) =>
  page.evaluate(
    async ([first, then]) => {
      const button = (name: string) =>
        [...document.querySelectorAll("button")].find((b) => b.textContent?.trim() === name);
      button(first)!.click();
      await new Promise((resolve) => setTimeout(resolve));
      button(then)!.click();
    },
    [first, then] as const,
  );

/** Puts something into the browser's database, as if it had been kept there before. @param id  where it is not sought in it */
const keep = (page: Page, store: "catalogs" | "heads" | "tickets", kept: unknown, id?: string) =>
  page.evaluate(
    async ([store, kept, id]) => {
      const ended = <T>(request: IDBRequest<T>) =>
        new Promise<T>((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error ?? new Error("no database"));
        });
      const db = await ended(indexedDB.open("fitful"));
      await ended(db.transaction(store, "readwrite").objectStore(store).put(kept, id));
      db.close();
    },
    [store, kept, id] as const,
  );

/** The page with the lamp box as a kind of machine of the shop's own: it is fitted and worked in a tenth of the time. */
async function openedLampBox(width: number, height: number, scheme: "light" | "dark", own: Ticket[] = []) {
  const opening = await opened(width, height, scheme);
  const { page } = opening;
  await page.getByRole("heading", { level: 1 }).waitFor();
  await keep(page, "catalogs", catalog);
  for (const ticket of own) {
    const head = { id: ticket.id, savedAt: "2025-06-01T08:00:00Z", summary: null, revision: 1, done: 0 };
    await keep(page, "heads", head);
    await keep(page, "tickets", ticket, ticket.id);
  }
  await page.reload();
  await page.getByLabel("Kind of machine").selectOption(catalog.id);
  return opening;
}

const past = join(folder, "past.csv");
const lampBox = join(folder, "lamp-box.json");
const pastRows = Array.from({ length: 90 }, (_, k) => `T${k},${k % 3 ? "slot" : "rail"},6,${k % 3 ? 3 : 5}`);
writeFileSync(past, ["ticket,cause,starts,stops", ...pastRows].join("\n"));
writeFileSync(lampBox, JSON.stringify(catalog));

/** The page as far as the scores, and what asks for the minutes of so many tickets. */
async function tunedLampBox(width: number, height: number, scheme: "light" | "dark") {
  const opening = await openedLampBox(width, height, scheme);
  const { page, press } = opening;
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
    const { violations } = await axe(page).analyze();
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

test("how a table is written is told by the table, and can be said; what its columns mean is remembered", async () => {
  const { visit, page, press } = await opened(1280, 900, "light");
  const file = join(folder, "written.csv");
  const choose = async (...lines: string[]) => {
    writeFileSync(file, lines.join("\n"));
    await page.locator('input[type="file"]').setInputFiles(file);
  };
  const control = (label: string) => page.getByRole("combobox", { name: new RegExp(`^${label}`) });
  const read = (said: string) => page.getByText(said).waitFor(PATIENCE);
  await choose("Nummer;Fertig;Gerät;Dauer", "1;31.12.2025;slot-contact;12,5");
  await control("cause").selectOption("Gerät");
  await control("day it was closed").selectOption("Fertig");
  await control("minutes of the repair").selectOption("Dauer");
  expect(await control("Decimal mark").inputValue()).toBe(",");
  await press("Read the table");
  await read("1 rows: 1 tickets, 0 rows rejected");

  await choose("Nummer,Fertig,Gerät,Dauer", "1,12/31/2025,slot-contact,12.5");
  await page.getByRole("columnheader", { name: "Gerät", exact: true }).waitFor();
  await expect.poll(() => control("Separator").inputValue()).toBe(",");
  expect(await control("cause").inputValue()).toBe("Gerät");
  expect([await control("Days").inputValue(), await control("Decimal mark").inputValue()]).toEqual(["month-first", "."]); // prettier-ignore
  await press("Read the table");
  await read("1 rows: 1 tickets, 0 rows rejected");

  await control("Encoding").selectOption("windows-1252");
  await page.getByRole("columnheader", { name: "GerÃ¤t", exact: true }).waitFor();
  await control("Encoding").selectOption("utf-8");
  await page.getByRole("columnheader", { name: "Gerät", exact: true }).waitFor();
  await control("Separator").selectOption("tab");
  await page.getByRole("columnheader", { name: "Nummer,Fertig,Gerät,Dauer", exact: true }).waitFor();
  await control("Separator").selectOption("comma");
  await page.getByRole("columnheader", { name: "Gerät", exact: true }).waitFor();
  expect(await control("cause").inputValue()).toBe("Gerät");
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("strange words of stages, repairs and events are given a meaning too; a table that teaches nothing says why", async () => {
  const { visit, page, press } = await openedLampBox(390, 844, "light");
  const file = join(folder, "words.csv");
  writeFileSync(
    file,
    ["cause,starts,stops,stage,repair,before", "slot,6,3,ram,,", "slot,6,3,,wipe,", "rail,6,5,,,van"].join(
      "\n",
    ),
  );
  await page.locator('input[type="file"]').setInputFiles(file);
  await press("Read the table");
  await page.getByText("3 rows: 0 tickets, 3 rows rejected").waitFor(PATIENCE);
  await page.getByText("Nothing can be learned from this: every row was rejected.").waitFor();
  await page.getByText("1 row rejected at stage: expected a stage of the catalog.").waitFor();
  expect(await page.getByRole("button", { name: "Fit", exact: true }).count()).toBe(0);
  for (const [word, id] of [
    ["ram", "memory"],
    ["wipe", "clean"],
    ["van", "moved"],
  ] as const)
    // prettier-ignore
    await page.getByRole("combobox", { name: new RegExp(`^${word}`) }).selectOption(id);
  await press("Read again");
  await page.getByText("3 rows: 3 tickets, 0 rows rejected").waitFor(PATIENCE);
  await page.getByRole("button", { name: "Fit", exact: true }).waitFor();

  await page.getByRole("combobox", { name: /^cause/ }).selectOption("no column");
  await press("Read the table");
  await page
    .getByText(/^Nothing can be learned from this: no column is said to hold the cause/)
    .waitFor(PATIENCE);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});

test("own closed tickets teach alone, beside a table, or not at all; of two kept catalogs each says what it is", async () => {
  const own = ["a", "b"].map((id): Ticket => ({
    ...{ format: "fitful/ticket@1", id, title: `Lamp ${id}`, catalog: catalog.id },
    machine: { ageYears: 3, parts: [{ id: "m1", kind: "module", position: "A1" }] },
    entries: [
      { kind: "starts", id: "s", trials: [{ outcome: "memory", n: 3 }, { outcome: "clean", n: 2 }] },
      { kind: "release", id: "r", at: "2025-05-06T10:00", confirmed: ["slot"] },
    ],
  })); // prettier-ignore
  const { visit, page, press } = await openedLampBox(1280, 900, "light", own);
  const tickets = (said: string) => page.getByText(said).waitFor(PATIENCE);
  await press("Read those alone");
  await tickets("2 tickets in all, 2 with a confirmed cause.");
  await press("Fit");
  await press("Keep as a kind of machine");
  await page.getByText("Kept: new tickets can be taken in with it.").waitFor(PATIENCE);

  await page.locator('input[type="file"]').setInputFiles(past);
  await press("Read the table");
  await tickets("92 tickets in all, 92 with a confirmed cause.");
  await page.getByRole("checkbox", { name: /^Count the closed tickets/ }).uncheck();
  expect(await page.getByRole("heading", { name: "What was read" }).count()).toBe(0);
  await press("Read the table");
  await tickets("90 tickets in all, 90 with a confirmed cause.");

  await page.reload();
  const kinds = page.getByLabel("Kind of machine");
  const tuned = "Lamp box, tuned on 2 tickets up to 6 May 2025";
  await kinds.selectOption({ label: tuned });
  await press("Go back to the catalog before tuning");
  await page.getByText("Gone back to Lamp box, version 1").waitFor();
  expect(await kinds.inputValue()).toBe(catalog.id);
  expect(await kinds.locator("option").allTextContents()).toContain(tuned);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
  await visit.end();
});
