/** The page once it has been loaded: without the network, and when a newer version comes. */
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { layOnBench, smallTicket } from "./small-ticket.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();
const visit = await Visit.begin(browser, {
  viewport: { width: 390, height: 844 },
  serviceWorkers: "allow",
});

const controlled = () =>
  visit.page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    return navigator.serviceWorker.controller !== null;
  });

test("once loaded it opens, weighs and saves with the network off, and asks nobody else for anything", async () => {
  const { page } = visit;
  const ticket = await layOnBench(page, served.url, smallTicket("far-out"));
  await expect.poll(controlled, { timeout: 20_000 }).toBe(true);
  await page.context().setOffline(true);
  await ticket.reload();
  await ticket.press("nothing", 2);
  await ticket.tally("nothing", 2).waitFor();
  await ticket.settled();
  await page.goto(`${served.url}#/new`);
  await page.getByLabel("What it is").fill("Buoy light");
  await page.reload();
  await page.goto(`${served.url}#/ticket/far-out`);
  await ticket.tally("nothing", 2).waitFor();
  await page.context().setOffline(false);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

test("it can be installed: a manifest with pictures that are there", async () => {
  const { page } = visit;
  const session = await page.context().newCDPSession(page);
  const { errors, url } = await session.send("Page.getAppManifest");
  expect([errors, url]).toEqual([[], `${served.url}manifest.webmanifest`]);
  const { installabilityErrors } = await session.send("Page.getInstallabilityErrors");
  expect(installabilityErrors.map((e) => e.errorId).filter((id) => id !== "in-incognito")).toEqual([]);
});

test("a newer version waits until it is asked for, and loses nothing", async () => {
  const { page } = visit;
  await page.goto(`${served.url}#/ticket/far-out`);
  const ticket = new TicketPage(page);
  await ticket.press("memory", 3);
  newerVersion(served.folder);
  await page.evaluate(async () => void (await (await navigator.serviceWorker.ready).update()));
  const offer = page.getByRole("button", { name: "Use the newer version" });
  await offer.waitFor();
  expect(await page.title()).not.toContain("newer");
  await ticket.press("memory", 1);
  await ticket.tally("memory", 4).waitFor();
  await Promise.all([page.waitForEvent("load"), offer.click()]);
  await page.getByText("This is the newer one").waitFor();
  await ticket.tally("memory", 4).waitFor();
  await ticket.tally("nothing", 2).waitFor();
  const caches = await page.evaluate(() => window.caches.keys());
  expect(caches).toHaveLength(1);
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

/** What a later build would put in the same place: another page, and a service worker named for it. */
function newerVersion(folder: string): void {
  const page = join(folder, "index.html");
  writeFileSync(page, readFileSync(page, "utf8").replace("<body>", "<body><p>This is the newer one</p>"));
  const worker = join(folder, "offline.js");
  const name = createHash("sha256").update(readFileSync(page)).digest("hex").slice(0, 12);
  writeFileSync(worker, readFileSync(worker, "utf8").replace(/"[0-9a-f]{12}"/, `"${name}"`));
}
