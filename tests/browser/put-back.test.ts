/** What is taken off the bench can be put back as it was, and destroys nothing that was done since. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import type { Ticket } from "../../engine/ticket/schema.js";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { layOnBench, smallTicket } from "./small-ticket.js";
import { stored } from "./stored.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let page: Page;

beforeEach(async () => {
  visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 }, serviceWorkers: "block" });
  page = visit.page;
});
afterEach(async () => {
  await visit.end();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

const PATIENCE = { timeout: 20_000 };
const named = (id: string, title: string) => ({ ...smallTicket(id), title });
const bench = (id = "kept", title = "Harbour master") => layOnBench(page, served.url, named(id, title));
const settled = async (ticket: TicketPage, starts: number) => {
  await expect.poll(() => ticket.starts(), PATIENCE).toBe(starts);
  await ticket.solid();
};

async function takeOff(title: string, on = page): Promise<void> {
  await on.goto(`${served.url}#/list`);
  await on.getByRole("button", { name: `Take ${title}` }).click();
  await on.getByText(`“${title}” was taken off the bench`).waitFor();
}
const putItBack = (on = page) => on.getByRole("button", { name: "Put it back" });
const takenOff = () => page.locator("details").filter({ hasText: "Taken off" });

test("a file opened again after its ticket was taken off keeps the starts that follow", async () => {
  await bench();
  await takeOff("Harbour master");
  const again = await bench();
  await again.press("nothing", 4);
  await settled(again, 4);
  await page.goto(`${served.url}#/list`);
  await page.getByRole("link", { name: "Harbour master" }).waitFor();
  expect(await putItBack().count()).toBe(0);
  expect(await takenOff().count()).toBe(0);
  await page.reload();
  await page.getByRole("link", { name: "Harbour master" }).click();
  await settled(again, 4);
});

test("a file that differs from what was taken off is another ticket, and both are there", async () => {
  const first = await bench();
  await first.press("nothing", 3);
  await settled(first, 3);
  await takeOff("Harbour master");
  const again = await bench();
  await again.press("memory", 4);
  await settled(again, 4);
  await page.goto(`${served.url}#/list`);
  await putItBack().click();
  await page.getByRole("heading", { name: /^Harbour master.* · kept$/ }).click();
  await settled(first, 3);
  await page.goBack();
  await page.getByRole("heading", { name: /^Harbour master.* · kept-\d/ }).click();
  await settled(again, 4);
});

describe("two windows", () => {
  test.each([false, true])("what returned by a press elsewhere is not put back (deaf: %s)", async (deaf) => {
    const there = await bench();
    await there.press("memory", 2);
    await settled(there, 2);
    const other = await page.context().newPage();
    if (deaf) await other.addInitScript("BroadcastChannel.prototype.addEventListener = () => {}");
    await takeOff("Harbour master", other);
    const isOff = page.getByText("in another window: what is done here puts it back");
    await isOff.waitFor();
    await there.press("clean start", 2);
    await settled(there, 4);
    await expect.poll(() => isOff.count()).toBe(0);
    if (deaf) {
      await putItBack(other).click();
      await other.getByText("“Harbour master” is on the bench again already").waitFor();
    }
    await expect.poll(() => putItBack(other).count()).toBe(0);
    await there.press("clean start", 1);
    await settled(there, 5);
    await there.reload();
    await settled(there, 5);
  });
});

test("whatever was taken off comes back with its starts and its undo, after a reload too", async () => {
  for (const [id, title] of [
    ["one", "Ferry kiosk"],
    ["two", "Boathouse till"],
  ] as const) {
    const ticket = await bench(id, title);
    await ticket.press("nothing", 2);
    await settled(ticket, 2);
  }
  await takeOff("Ferry kiosk");
  await takeOff("Boathouse till");
  await page.reload();
  await takenOff().locator("summary").click();
  await page.getByRole("button", { name: /^Put Ferry kiosk.* back/ }).click();
  await page.getByRole("button", { name: /^Put Boathouse till.* back/ }).click();
  await page.getByRole("link", { name: "Ferry kiosk" }).click();
  const ticket = new TicketPage(page);
  await settled(ticket, 2);
  await ticket.undo();
  await settled(ticket, 1);
});

describe("what goes with a ticket", () => {
  const lines = [
    { format: "fitful/backup@1", made: "", holds: { tickets: 1, catalogs: 0, photos: 1 } },
    { kind: "ticket", ticket: named("first", "Slipway till"), savedAt: "2030-01-01T08:00:00.000Z" },
    { kind: "photo", id: "photo-1", tickets: ["first"], type: "image/jpeg", base64: "bm90IGEgcGljdHVyZQ==" },
  ];
  const restore = async (file: Buffer) => {
    await page.goto(`${served.url}#/shop`);
    await page
      .getByLabel("Restore from such a file")
      .setInputFiles({ name: "all.jsonl", mimeType: "application/json", buffer: file });
  };
  const saved = async () => {
    await page.goto(`${served.url}#/shop`);
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save everything as one file" }).click(),
    ]);
    return readFileSync(await download.path());
  };
  const deleteForGood = async () => {
    await page.goto(`${served.url}#/list`);
    await takenOff().locator("summary").click();
    const ask = page.getByRole("button", { name: /^Delete Slipway till.* for good/ });
    await ask.click();
    await page.getByRole("button", { name: "Keep it" }).click();
    await ask.click();
    await page.getByRole("button", { name: "Delete it for good" }).click();
    await takenOff().waitFor({ state: "detached" });
  };

  test("photographs stay with what was taken off, are in a backup with it, and go when it is deleted", async () => {
    await restore(Buffer.from(lines.map((line) => JSON.stringify(line)).join("\n")));
    await page.getByText("Restored: 1 ticket and 1 photograph.").waitFor();
    await takeOff("Slipway till");
    const backup = await saved();
    expect(backup.toString()).toContain("photo-1");
    await deleteForGood();
    expect((await saved()).toString()).not.toContain("photo-1");
    await restore(backup);
    await page.getByText("Restored: 1 ticket under “Taken off” and 1 photograph.").waitFor();
    await page.goto(`${served.url}#/list`);
    await takenOff().locator("summary").click();
    await page.getByRole("button", { name: /^Put Slipway till.* back/ }).click();
    await page.getByRole("link", { name: "Slipway till" }).waitFor();
  });

  test("what the list says of it comes back with it, out of a backup too, and goes when it is deleted", async () => {
    const says = () => page.getByText("Weak cells · Module 1").waitFor();
    const ticket = await bench("kept", "Slipway till");
    await ticket.press("memory", 1);
    await settled(ticket, 1);
    await ticket.proved();
    const backup = await saved();
    await takeOff("Slipway till");
    await putItBack().click();
    await says();
    await takeOff("Slipway till");
    await restore(backup);
    await page.getByText("Restored: 1 ticket.").waitFor();
    await page.goto(`${served.url}#/list`);
    await says();
    expect(await stored(page, "kept")).toMatchObject({
      heads: [{ revision: 2 }],
      tickets: [{}],
      steps: [{}],
    });
    await takeOff("Slipway till");
    await deleteForGood();
    expect(await stored(page, "kept")).toEqual({ heads: [], tickets: [], steps: [] });
  });
});

test("of what was taken off the last twenty are kept", async () => {
  const lines = Array.from({ length: 22 }, (_, i) => {
    const takenOff = `2030-01-01T08:00:${10 + i}.000Z`;
    return {
      kind: "ticket",
      ticket: named(`t${i}`, `Till ${i}`),
      savedAt: takenOff,
      ...(i < 21 && { takenOff }),
    };
  });
  const head = { format: "fitful/backup@1", made: "", holds: { tickets: 22, catalogs: 0, photos: 0 } };
  await page.goto(`${served.url}#/shop`);
  await page.getByLabel("Restore from such a file").setInputFiles({
    name: "all.jsonl",
    mimeType: "application/json",
    buffer: Buffer.from([head, ...lines].map((line) => JSON.stringify(line)).join("\n")),
  });
  await page.getByText("21 tickets under “Taken off”").waitFor();
  await page.clock.setFixedTime("2030-02-01T08:00:00.000Z");
  await takeOff("Till 21");
  await takenOff().locator("summary").click();
  const kept = page.getByRole("button", { name: /^Put Till/ });
  expect(await kept.count()).toBe(20);
  expect(await kept.first().getAttribute("aria-label")).toContain("Till 21");
  expect(await page.getByRole("button", { name: /^Put Till [01] / }).count()).toBe(0);
});

async function currency(code: string): Promise<void> {
  await page.goto(`${served.url}#/shop`);
  await page.getByLabel("Currency").selectOption(code);
  await page.getByText("Saved.").waitFor();
}

test("money of a ticket stays in the currency it was taken in with", async () => {
  await currency("EUR");
  await bench();
  await currency("JPY");
  await bench("later", "Ferry kiosk");
  await page.goto(`${served.url}#/owner/kept`);
  await page.getByText("€40 an hour").waitFor(PATIENCE);
  await page.goto(`${served.url}#/owner/later`);
  await page.getByText("JP¥40 an hour").waitFor(PATIENCE);
  await page.reload();
  await page.getByText("JP¥40 an hour").waitFor(PATIENCE);
});

test("a file carries what its money is in to a browser that counts in another, and is known there again", async () => {
  await currency("EUR");
  const file = await (await bench()).saved();
  const other = await Visit.begin(browser, { viewport: { width: 1280, height: 800 } });
  page = other.page;
  await currency("JPY");
  const carried = JSON.parse(readFileSync(file, "utf8")) as Ticket;
  expect(carried.currency).toBe("EUR");
  for (let times = 0; times < 2; times++) await layOnBench(page, served.url, carried);
  await page.goto(`${served.url}#/owner/kept`);
  await page.getByText("€40 an hour").waitFor(PATIENCE);
  await page.goto(`${served.url}#/list`);
  expect(await page.getByRole("link", { name: "Harbour master" }).count()).toBe(1);
  await other.end();
});

test("what could not be opened is said until another page is looked at", async () => {
  await page.goto(`${served.url}#/list`);
  await page
    .getByLabel("Open a file")
    .setInputFiles({ name: "odd.json", mimeType: "application/json", buffer: Buffer.from("odd") });
  await page.getByText("odd.json was not opened").waitFor();
  await page.getByRole("link", { name: "The shop" }).click();
  await page.getByRole("heading", { name: "The shop" }).waitFor();
  expect(await page.getByText("odd.json was not opened").count()).toBe(0);
});

/** What an older version of the program left behind. */
type Older = { tickets: unknown[]; shop: unknown; steps?: { key: (string | number)[]; value: unknown }[] };

describe("an older database", () => {
  /** With something else in the place of what it had. Its window is left open where `stays`, as one of that version would be. */
  async function older(version: number, but: Partial<Older> = {}, stays = false): Promise<Page> {
    const window = stays ? await page.context().newPage() : page;
    await window.route("**/favicon.ico", (route) => route.fulfill({ status: 204 }));
    await window.goto(`${served.url}manifest.webmanifest`);
    const old = readFileSync(new URL(`fixtures/database-${version}.json`, import.meta.url), "utf8");
    await window.evaluate(
      ({ tickets, shop, steps = [], version, stays }) =>
        new Promise<void>((resolve, reject) => {
          const request = indexedDB.open("fitful", version);
          request.onupgradeneeded = () => {
            const db = request.result;
            db.createObjectStore("tickets", { keyPath: "id" });
            db.createObjectStore("photos", { keyPath: "id" }).createIndex("tickets", "tickets", {
              multiEntry: true,
            });
            db.createObjectStore("catalogs", { keyPath: "id" });
            db.createObjectStore("steps");
            db.createObjectStore("shop");
          };
          request.onerror = () => reject(request.error!);
          request.onsuccess = () => {
            const tx = request.result.transaction(["tickets", "shop", "steps"], "readwrite");
            for (const one of tickets) tx.objectStore("tickets").put(one);
            for (const { key, value } of steps) tx.objectStore("steps").put(value, key);
            tx.objectStore("shop").put(shop, "settings");
            tx.oncomplete = () => resolve(stays ? undefined : request.result.close());
          };
        }),
      { ...(JSON.parse(old) as Older), ...but, version, stays },
    );
    return window;
  }

  test("of the second version is brought up to date, its tickets in the currency that the shop had", async () => {
    await older(2);
    await currency("JPY");
    await page.goto(`${served.url}#/owner/older`);
    await page.getByText(/€\d+ an hour/).waitFor(PATIENCE);
  });

  test("of the third version has its currencies in the tickets then, before undo and after it", async () => {
    await older(3);
    await page.goto(`${served.url}#/ticket/older`);
    const ticket = new TicketPage(page);
    await settled(ticket, 1);
    const { currency } = JSON.parse(readFileSync(await ticket.saved(), "utf8")) as Ticket;
    expect(currency).toBe("EUR");
    for (let steps = 0; steps < 4; steps++) await ticket.undo(); // the second of them brings a whole ticket back
    await settled(ticket, 0);
    expect((JSON.parse(readFileSync(await ticket.saved(), "utf8")) as Ticket).currency).toBe("EUR");
  });

  test("of the fourth version keeps what its list says, what was taken off and every step", async () => {
    await older(4);
    await page.goto(`${served.url}#/list`);
    await page.getByText("Take Module 1 out and start it once.").waitFor(); // it has not been weighed since
    await takenOff().locator("summary").click();
    await page.getByRole("button", { name: /^Put Ferry kiosk.* back/ }).click();
    await page.getByText("Start it once, as it is.").waitFor();
    await page.getByRole("link", { name: "Slipway till" }).click();
    const ticket = new TicketPage(page);
    await settled(ticket, 2);
    await ticket.redo();
    await settled(ticket, 3);
    for (let steps = 0; steps < 3; steps++) await ticket.undo();
    await settled(ticket, 0);
  });

  test("that cannot be brought up to date stays as it was", async () => {
    const odd = { key: ["older", 9], value: { path: [], was: null, now: null } }; // no ticket to have a currency
    await older(3, { steps: [odd] });
    await page.goto(`${served.url}#/list`);
    await page.getByRole("heading", { name: "The tickets could not be read" }).waitFor();
    const stands = await page.evaluate("indexedDB.databases().then(([one]) => one.version)");
    expect(stands).toBe(3);
  });

  test("that an older window holds open is said in words, and opened when that window is closed", async () => {
    const window = await older(2, {}, true);
    await page.goto(`${served.url}#/list`);
    await page.getByText("another window shows an older version of this page").waitFor();
    await window.close();
    await page.getByRole("button", { name: "Try again" }).click();
    await page.getByRole("link", { name: "Slipway till" }).waitFor();
  });
});
