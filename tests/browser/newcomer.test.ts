/** What somebody meets who opens the explorer for the first time: by what they see and press. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();

const demo = JSON.parse(
  readFileSync(new URL("../../scenarios/cold-standby-rail/ticket.json", import.meta.url), "utf8"),
) as Ticket;

describe.each([
  { place: "on a phone", viewport: { width: 390, height: 844 } },
  { place: "on the bench", viewport: { width: 1280, height: 900 } },
])("$place", ({ viewport }) => {
  let visit: Visit;
  let page: Page;
  let ticket: TicketPage;

  beforeEach(async () => {
    visit = await Visit.begin(browser, { viewport, serviceWorkers: "allow" });
    page = visit.page;
    ticket = new TicketPage(page);
    await page.goto(served.url);
  });
  afterEach(async () => {
    await visit.end();
    expect(visit.errors).toEqual([]);
    expect(visit.strays).toEqual([]);
  });

  test("a fresh install opens on the demo ticket, with suspects and a next test", async () => {
    await ticket.settled();
    expect(await ticket.title()).toContain(demo.title);
    expect(await ticket.couldBe.getByRole("button", { name: /standby rail/i }).count()).toBeGreaterThan(0);
    expect(await ticket.doNext.textContent()).toMatch(/\d min/);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
  });

  test("five presses are five tally marks; belief and next test move, undo takes one back, a reload keeps the rest", async () => {
    await ticket.settled();
    const before = [await ticket.couldBe.textContent(), await ticket.doNext.textContent()];
    await ticket.press("memory", 5);
    await ticket.tally("memory", 5).waitFor();
    await ticket.settled();
    const after = [await ticket.couldBe.textContent(), await ticket.doNext.textContent()];
    expect(after[0]).not.toBe(before[0]);
    expect(after[1]).not.toBe(before[1]);

    await ticket.undo();
    await ticket.tally("memory", 4).waitFor();
    await ticket.reload();
    await ticket.tally("memory", 4).waitFor();
    expect(await ticket.title()).toContain(demo.title);
  });

  test("a new ticket is taken in, worked on, saved as a file, and opens in another browser as it was", async () => {
    await page.getByRole("link", { name: /^Tickets/ }).click();
    await page.getByRole("link", { name: "New ticket" }).click();
    await page.getByLabel("What it is").fill("Tide clock computer");
    await page.getByLabel("What the owner saw").fill("Some evenings it stays dark.");
    await page.reload();
    await page.getByRole("button", { name: "Take it in" }).click();
    await ticket.press("clean start", 2);
    const file = await ticket.saved();

    const other = await Visit.begin(browser, { viewport });
    const there = new TicketPage(other.page);
    await other.page.goto(`${served.url}#/list`);
    await other.page.getByLabel("Open a file").setInputFiles(file);
    await there.tally("clean", 2).waitFor();
    expect(await there.title()).toContain("Tide clock computer");
    const read = (path: string) => JSON.parse(readFileSync(path, "utf8")) as Ticket;
    expect(read(await there.saved())).toEqual(read(file));
    await other.end();
    expect(other.errors).toEqual([]);
  });

  test("of a broken file every fault is named, and nothing is lost", async () => {
    const broken = { ...demo, title: "", machine: { ...demo.machine, ageYears: "six" } };
    await page.goto(`${served.url}#/list`);
    const open = (name: string, text: string) =>
      page
        .getByLabel("Open a file")
        .setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });

    await open("wrong.json", JSON.stringify(broken));
    const alert = page.getByRole("alert");
    await alert.getByText("machine.ageYears").waitFor();
    expect(await alert.textContent()).toContain("wrong.json");
    expect(await alert.getByText("title", { exact: true }).count()).toBe(1);

    await open("cut-off.json", JSON.stringify(demo).slice(0, 500));
    await alert.getByText("cut-off.json").waitFor();

    const unknown = { ...demo, entries: [{ kind: "starts", id: "e1", trials: [{ outcome: "memroy" }] }] };
    await open("unknown.json", JSON.stringify(unknown));
    await alert.getByText("entries[0].trials[0].outcome").waitFor();
    expect(await alert.textContent()).toContain("memory");

    await alert.getByRole("button", { name: "Close" }).click();
    expect(await page.getByRole("heading", { level: 2, name: demo.title }).count()).toBe(1);
    await page.reload();
    await page.getByRole("heading", { level: 2, name: demo.title }).waitFor();
  });
});

test("an address that leads nowhere says so, and a paper may be opened while the record is still being weighed", async () => {
  const visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 } });
  const { page } = visit;
  for (const where of ["ticket/nope", "ticket/%E0%A4%A", "blah", "__proto__"]) {
    await page.goto(`${served.url}#/${where}`);
    await page.getByText("a page, or a ticket that is on the bench").waitFor();
    await page.getByRole("button", { name: "Close" }).click();
  }
  await page.goto(`${served.url}#/ticket/${demo.id}`);
  await new TicketPage(page).press("clean start", 1);
  await page.goto(`${served.url}#/owner/${demo.id}`);
  await page.getByText("Weighing the record").waitFor();
  await visit.end();
  expect(visit.errors).toEqual([]);
});

test("a page that asks for something elsewhere, or fails, is noticed", async () => {
  const visit = await Visit.begin(browser, {});
  await visit.page.setContent('<img src="http://example.org/x.png"><script>throw new Error("no")</script>');
  await visit.page.waitForLoadState("load");
  expect(visit.strays).toEqual(["http://example.org/x.png"]);
  expect(visit.errors).toContain("no");
  await visit.end();
});
