/**
 * npm run screenshots: the main pages, made from a fresh install, for people to look at in `screenshots/`; three of them
 * are the README's pictures, in `explorer/pictures/`.
 */
import { copyFileSync, mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { Browser, Page } from "playwright-core";
import { PAGES } from "../../explorer/pages.js";
import { launch } from "./chromium.js";
import { serveExplorer, Visit } from "./served.js";
import { TicketPage } from "./ticket-page.js";

const folder = (path: string) => fileURLToPath(new URL(`../../${path}/`, import.meta.url));
const SHOTS = folder("screenshots");
const PICTURES = folder("explorer/pictures");
/** Picture of the README → the screenshot that it is. */
const README = {
  "desktop.png": "desktop-light-ticket.png",
  "phone.png": "phone-light-ticket.png",
  "charts.png": "desktop-light-charts.png",
};

const SIZES = [
  { name: "desktop", width: 1280, height: 900 },
  { name: "phone", width: 390, height: 844 },
] as const;
const SCHEMES = ["light", "dark"] as const;
/** The ticket that a newcomer sees, for the pages that are about one. */
const DEMO = "tidewater-playout";
const ABOUT_ONE = new Set(["owner", "warranty", "carry"]);

/** The ticket page from the top, then with a suspect touched: its charts, and what is fitted where. */
async function ticketPage(page: Page, shot: (name: string) => Promise<void>): Promise<void> {
  await new TicketPage(page).settled();
  await page.locator("#is-fixed").waitFor({ timeout: 120_000 });
  await shot("ticket");
  await page
    .getByRole("region", { name: "What it could be" })
    .getByRole("button", { name: /^Standby rail/ })
    .first()
    .click();
  for (const part of ["fitted", "charts"]) {
    await page.locator(`#${part}`).evaluate((node) => node.scrollIntoView({ block: "start" }));
    await shot(part);
  }
}

async function visitAll(
  browser: Browser,
  url: string,
  size: (typeof SIZES)[number],
  colorScheme: (typeof SCHEMES)[number],
) {
  const { name, ...viewport } = size;
  const visit = await Visit.begin(browser, { viewport, colorScheme });
  const { page } = visit;
  const shot = async (what: string) => {
    await page.screenshot({ path: `${SHOTS}${name}-${colorScheme}-${what}.png` });
    console.log(`screenshots/${name}-${colorScheme}-${what}.png`);
  };
  await page.goto(url);
  await ticketPage(page, shot);
  for (const where of ["list", "new", ...Object.keys(PAGES)]) {
    await page.goto(`${url}#/${where}${ABOUT_ONE.has(where) ? `/${DEMO}` : ""}`);
    await page.getByRole("heading", { level: 1 }).first().waitFor();
    await page.waitForLoadState("networkidle");
    await shot(where);
  }
  await visit.end();
}

for (const path of [SHOTS, PICTURES]) mkdirSync(path, { recursive: true });
const served = await serveExplorer();
const browser = await launch();
try {
  for (const size of SIZES)
    for (const colorScheme of SCHEMES) await visitAll(browser, served.url, size, colorScheme);
  for (const [picture, shot] of Object.entries(README)) copyFileSync(SHOTS + shot, PICTURES + picture);
} finally {
  await browser.close();
  await served.close();
}
