/**
 * npm run screenshots: the README's pictures, made from the real page on a fresh install.
 */
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { launch } from "./chromium.js";
import { serveExplorer, Visit } from "./served.js";
import { TicketPage } from "./ticket-page.js";

const folder = fileURLToPath(new URL("../../explorer/pictures/", import.meta.url));
const SIZES = [
  { name: "desktop", width: 1280, height: 900 },
  { name: "phone", width: 390, height: 844 },
] as const;

mkdirSync(folder, { recursive: true });
const served = await serveExplorer();
const browser = await launch();
try {
  for (const { name, ...viewport } of SIZES) {
    const visit = await Visit.begin(browser, { viewport });
    await visit.page.goto(served.url);
    await new TicketPage(visit.page).settled();
    await visit.page.screenshot({ path: `${folder}${name}.png` });
    await visit.end();
    console.log(`explorer/pictures/${name}.png`);
  }
} finally {
  await browser.close();
  await served.close();
}
