/** What was pressed stays: on the disk, between windows, through reloads, crashes, full disks and older versions. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openExplorer } from "./explorer.js";
import { crashes } from "./crash.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";
import { layOnBench, smallTicket } from "./small-ticket.js";
import { stored } from "./stored.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let page: Page;

beforeEach(async () => {
  visit = await Visit.begin(browser, {
    viewport: { width: 390, height: 844 },
    serviceWorkers: "block", // nothing here is about them, and what they keep would fill a small disk
  });
  page = visit.page;
});
afterEach(async () => {
  await visit.end();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

const PATIENCE = { timeout: 20_000 };
const bench = (id = "kept") => layOnBench(page, served.url, smallTicket(id));

test("a press is drawn pending at once, and solid when it is on the disk", async () => {
  await bench();
  const labels = await page.evaluate(async () => {
    const strip = document.querySelector('[aria-label="Log a start"]')!;
    const button = [...strip.querySelectorAll("button")].find((b) => b.textContent.includes("clean start"))!;
    const label = () =>
      document.querySelector('[aria-label="Record"] .tally svg')?.getAttribute("aria-label");
    button.click();
    await Promise.resolve(); // the page repaints in a microtask
    const first = label();
    while (label() !== "1") await new Promise((resolve) => requestAnimationFrame(resolve));
    return [first, label()];
  });
  expect(labels).toEqual(["1, 1 not saved yet", "1"]);
});

/** Notes what the page asks of its database from here on. */
const watch = () =>
  page.evaluate(`
    window.asked = { heads: [], tickets: [], steps: [] };
    for (const name of ["get", "getAll", "openCursor", "put"]) {
      const asked = IDBObjectStore.prototype[name];
      IDBObjectStore.prototype[name] = function (...args) {
        window.asked[this.name]?.push(name);
        return asked.apply(this, args);
      };
    }
  `);
const asked = (store: "heads" | "tickets") => page.evaluate<string[]>(`window.asked.${store}`);

test("a page that is looked at again reads no ticket that nobody has changed", async () => {
  const ticket = await bench();
  await ticket.press("memory", 1);
  await ticket.tally("memory", 1).waitFor();
  await ticket.proved();
  await watch();
  await page.evaluate("document.dispatchEvent(new Event('visibilitychange'))");
  await expect.poll(() => asked("heads")).toContain("getAll");
  await page.waitForTimeout(300);
  expect(await asked("tickets")).toEqual([]);
});

test("a press that is not painted yet waits for nothing once the page is put away", async () => {
  const ticket = await bench();
  await page.evaluate(`{
    const later = setTimeout;
    window.setTimeout = (run, ms) => (ms === 250 ? 0 : later(run, ms)); // nor for how long it waits at most
    window.requestAnimationFrame = () => 0;
  }`);
  await ticket.press("memory", 1);
  await page.waitForTimeout(300);
  expect(await stored(page, "kept")).toMatchObject({ heads: [{ revision: 1 }] });
  await page.evaluate(`Object.defineProperty(document, "hidden", { value: true });
    document.dispatchEvent(new Event("visibilitychange"))`);
  await expect.poll(() => stored(page, "kept")).toMatchObject({ heads: [{ revision: 2 }] });
});

test("a press writes the whole ticket once, and reads none, the weighing of it included", async () => {
  const ticket = await bench();
  await ticket.proved();
  await watch();
  await ticket.press("memory", 1);
  await ticket.tally("memory", 1).waitFor();
  await ticket.proved();
  await expect.poll(() => asked("heads")).toEqual(["get", "put", "get", "put"]); // saved, then weighed
  expect(await asked("tickets")).toEqual(["put"]);
  const weighed = { revision: 2, summary: { leading: [{ name: "Weak cells · Module 1" }, {}] } };
  expect(await stored(page, "kept")).toMatchObject({ heads: [weighed] });
});

test("the list says what was weighed last, though more has been pressed since", async () => {
  const ticket = await bench();
  await ticket.press("memory", 1);
  await ticket.tally("memory", 1).waitFor();
  await ticket.proved();
  await page.evaluate("Worker.prototype.postMessage = () => {}"); // nothing is weighed from here on
  await ticket.press("nothing", 1);
  await expect.poll(() => stored(page, "kept")).toMatchObject({ heads: [{ revision: 3 }] });
  await page.goto(`${served.url}#/list`);
  await page.reload();
  await page.getByText("Weak cells · Module 1").waitFor();
});

test("the list says what to do next as soon as the ticket's page does", async () => {
  const ticket = await bench();
  await ticket.settled();
  await page.evaluate(`{ // nothing is proved: what comes after a while never comes
    const later = setTimeout;
    window.setTimeout = (run, ms) => (ms === 1500 ? 0 : later(run, ms));
  }`);
  await ticket.press("memory", 1);
  await ticket.settled();
  await page.getByRole("link", { name: /^Tickets/ }).click();
  const card = page.getByRole("listitem").filter({ hasText: "Weak cells · Module 1" });
  expect(await card.textContent()).not.toContain("Not weighed yet");
});

describe("two windows on one ticket", () => {
  /** Where `deaf`, the second window hears nothing of the first, as one that the system has frozen. */
  async function second(deaf: boolean): Promise<TicketPage> {
    const other = await page.context().newPage();
    if (deaf) await other.addInitScript("BroadcastChannel.prototype.addEventListener = () => {}");
    await other.goto(`${served.url}#/ticket/kept`);
    return new TicketPage(other);
  }

  test.each([false, true])("no start is lost, and both end with all of them (one deaf: %s)", async (deaf) => {
    const here = await bench();
    const there = await second(deaf);
    await there.strip.waitFor();
    await Promise.all([here.press("nothing", 6), there.press("memory", 5)]);
    await here.press("nothing", 1);
    await here.solid();
    await there.press("memory", 1);
    await expect.poll(() => there.starts(), PATIENCE).toBe(13);
    for (const window of [here, there]) {
      await window.reload();
      await expect.poll(() => window.starts(), PATIENCE).toBe(13);
    }
  });

  test("a duplicate of a window, which begins with a copy of what that one keeps, is another window", async () => {
    const here = await bench();
    await here.press("memory", 1);
    await here.tally("memory", 1).waitFor();
    const [copy] = await Promise.all([page.waitForEvent("popup"), page.evaluate("void open(location.href)")]);
    const there = new TicketPage(copy);
    await there.tally("memory", 1).waitFor();
    await here.press("nothing", 1);
    await there.tally("nothing", 1).waitFor();
    await there.undo();
    await there.strip.getByText("Undo took back what another window had written.").waitFor();
  });

  test("what is pressed in one appears in the other, and can be undone there", async () => {
    const here = await bench();
    const there = await second(false);
    await there.strip.waitFor();
    await here.press("nothing", 2);
    await there.tally("nothing", 2).waitFor();
    await there.undo();
    await here.tally("nothing", 1).waitFor();
  });

  test.each(["the last start", "a start of its row"])(
    "what is written of %s is written of the one it was opened for, whose entry comes back if it must",
    async (opened) => {
      await bench();
      const here = new RecordPage(page);
      const there = new RecordPage(await page.context().newPage());
      await there.page.goto(page.url());
      await here.press("memory", 1);
      await there.tally("memory", 1).waitFor();
      if (opened === "the last start")
        await here.strip.getByRole("button", { name: "About the last start" }).click();
      else {
        await here.record.locator("summary").last().click();
        await here.record.getByRole("button", { name: "Change or void start 1" }).click();
      }
      await there.press("memory", 1);
      await here.tally("memory", 2).waitFor();
      await there.record
        .getByRole("button", { name: /^Move, insert or delete/ })
        .last()
        .click();
      await there.dialog.getByRole("button", { name: "Delete this entry" }).click();
      await expect.poll(() => here.starts(), PATIENCE).toBe(0);
      await here.dialog.getByLabel("Beeps, lamps or number shown").fill("3 short");
      await here.confirm();
      await here.tally("memory", 2).waitFor();
      const last = (await here.now()).entries.at(-1);
      expect(last?.kind === "starts" && last.trials.map(({ code }) => code)).toEqual(["3 short", undefined]);
    },
  );

  test("undo of what the other one pressed says so, after the page was loaded again too", async () => {
    const here = await bench();
    const there = await second(false);
    await there.press("memory", 1);
    await here.tally("memory", 1).waitFor();
    await here.press("nothing", 1);
    await there.tally("nothing", 1).waitFor();
    await there.reload();
    await there.tally("nothing", 1).waitFor();
    await there.undo();
    await there.strip.getByText("Undo took back what another window had written.").waitFor();
    await there.undo(); // its own
    await expect.poll(() => there.strip.getByText("Undo took back").count()).toBe(0);
  });
});

test("undo goes on where it was before the page was loaded again", async () => {
  const ticket = await bench();
  await ticket.press("nothing", 2);
  await ticket.press("memory", 1);
  await ticket.undo();
  await ticket.tally("nothing", 2).waitFor();
  await ticket.reload();
  await ticket.undo();
  await ticket.tally("nothing", 1).waitFor();
  await ticket.redo();
  await ticket.redo();
  await ticket.tally("memory", 1).waitFor();
});

test("a database of the first version is brought up to date with its tickets", async () => {
  await page.route("**/favicon.ico", (route) => route.fulfill({ status: 204 })); // what is no page has no icon of its own
  await page.goto(`${served.url}manifest.webmanifest`);
  const old = readFileSync(new URL("fixtures/database-1.json", import.meta.url), "utf8");
  await page.evaluate(
    (stored) =>
      new Promise<void>((resolve, reject) => {
        const request = indexedDB.open("fitful", 1);
        request.onupgradeneeded = () => request.result.createObjectStore("tickets", { keyPath: "id" });
        request.onerror = () => reject(request.error!);
        request.onsuccess = () => {
          const tx = request.result.transaction("tickets", "readwrite");
          for (const one of stored) tx.objectStore("tickets").put(one);
          tx.oncomplete = () => resolve(request.result.close());
        };
      }),
    JSON.parse(old) as { id: string }[],
  );
  await page.goto(`${served.url}#/ticket/older`);
  const ticket = new TicketPage(page);
  await ticket.tally("nothing", 2).waitFor();
  await ticket.press("nothing", 1);
  await ticket.tally("nothing", 3).waitFor();
  await ticket.reload();
  await ticket.tally("nothing", 3).waitFor();
});

describe("where there is no room or no database", () => {
  test("a full disk is said in words, the start stays pending, and is saved when there is room", async () => {
    // what a browser answers that has no room, played: a quota set from outside counts only after half a minute
    await page.addInitScript(`
      const { put } = IDBObjectStore.prototype;
      IDBObjectStore.prototype.put = function (...args) {
        if (window.full) throw new DOMException("no room", "QuotaExceededError");
        return put.apply(this, args);
      };
    `);
    const ticket = await bench();
    await page.evaluate("window.full = true");
    await ticket.press("nothing", 2);
    const alert = page.getByRole("alert");
    await alert.getByText("no room left").waitFor();
    await page.getByRole("img", { name: "2, 2 not saved yet" }).waitFor();
    await page.evaluate("window.full = false");
    await alert.getByRole("button", { name: "Try to save again" }).click();
    await page.getByRole("img", { name: "2", exact: true }).waitFor();
    expect(await alert.count()).toBe(0);
  });

  test("a browser that forbids the database says so, and works with files", async () => {
    await page.addInitScript(
      'IDBFactory.prototype.open = () => { throw new DOMException("denied", "SecurityError"); }',
    );
    await page.goto(`${served.url}#/list`);
    await page.getByText("forbids this page a database").waitFor();
    await page.getByRole("button", { name: "Work without it" }).click();
    const file = Buffer.from(JSON.stringify(smallTicket("unkept")));
    await page
      .getByLabel("Open a file")
      .setInputFiles({ name: "unkept.json", mimeType: "application/json", buffer: file });
    const ticket = new TicketPage(page);
    await ticket.press("nothing", 2);
    await page.getByRole("alert").getByText("save the ticket as a file").waitFor();
    const saved = JSON.parse(readFileSync(await ticket.saved(), "utf8")) as { entries: unknown[] };
    expect(saved.entries).toHaveLength(2);
  });
});

describe("a backup", () => {
  const photo = Buffer.from("not really a picture");
  const lines = (title: string) =>
    [
      {
        format: "fitful/backup@2",
        made: "2030-01-02T08:00:00.000Z",
        holds: { tickets: 2, catalogs: 0, photos: 1 },
      },
      {
        kind: "shop",
        shop: { currency: "NZD", labourPerHour: 60, comeback: null, perDay: 3, days: null, limit: 0.1 },
      },
      {
        kind: "ticket",
        ticket: { ...smallTicket("first"), title, currency: "EUR" },
        savedAt: "2030-01-01T08:00:00.000Z",
      },
      {
        kind: "ticket",
        ticket: smallTicket("second"),
        savedAt: "2030-01-01T09:00:00.000Z",
      },
      {
        kind: "photo",
        id: "photo-1",
        tickets: ["first"],
        type: "image/jpeg",
        base64: photo.toString("base64"),
      },
    ].map((data) => JSON.stringify(data));
  const open = (text: string) =>
    page
      .getByLabel("Restore from such a file")
      .setInputFiles({ name: "all.jsonl", mimeType: "application/json", buffer: Buffer.from(text) });

  beforeEach(() => page.goto(`${served.url}#/shop`));

  test("holds tickets, photographs and settings, and gives them back in another browser", async () => {
    await open(lines("Harbour master").join("\n"));
    await page.getByText("Restored: 2 tickets and 1 photograph.").waitFor();
    expect(await page.getByLabel("Labour for an hour").inputValue()).toBe("60");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save everything as one file" }).click(),
    ]);
    const things = (text: string) =>
      text
        .trim()
        .split("\n")
        .map((line) => JSON.parse(line) as unknown);
    const made = things(readFileSync(await download.path(), "utf8"));
    for (const thing of things(lines("Harbour master").join("\n")).slice(1))
      expect(made).toContainEqual(thing);

    await open(lines("Harbour master").join("\n"));
    await page.getByText("3 of its things were here already").waitFor();
    await open(lines("Another title").join("\n"));
    await page.getByText("Restored: 1 ticket.").waitFor();
    await page.goto(`${served.url}#/list`);
    for (const title of ["Harbour master", "Another title"])
      expect(await page.getByRole("heading", { name: title }).count()).toBe(1);
  });

  test("that was cut off or damaged names every line that is wrong, and what is whole can be restored", async () => {
    const [head, shop, first, second, picture] = lines("Harbour master") as [
      string,
      string,
      string,
      string,
      string,
    ];
    await open(
      [head, shop, first.replace('"ageYears":4', '"ageYears":"four"'), second, picture.slice(0, 60)].join(
        "\n",
      ),
    );
    const alert = page.getByRole("alert");
    await alert.getByText("line 3, machine.ageYears").waitFor();
    await alert.getByText("line 5").waitFor();
    await alert.getByText("1 tickets that can be read").waitFor();
    await page.getByRole("button", { name: "Restore what can be read: 1 things" }).click();
    await page.getByText("Restored: 1 ticket.").waitFor();
  });
});

test("an address that is no address leads to the list", async () => {
  await page.goto(`${served.url}#/ticket/%E0%A4%A`);
  await page.getByRole("heading", { name: "Tickets on the bench" }).waitFor();
});

test("of a browser killed while starts are pressed, no start drawn solid is missing", async () => {
  const runs = await crashes(served.url, 1, 21);
  for (const run of runs) expect(run.found).toBeGreaterThanOrEqual(run.solid);
  expect(runs.some((run) => run.solid > 0)).toBe(true);
});
