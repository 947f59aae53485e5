/** The explorer, served, and a browser to look at it with, for the tests of one file; both are closed after them. */
import type { Browser } from "playwright-core";
import { afterAll } from "vitest";
import { launch } from "./chromium.js";
import { serveExplorer, type Served } from "./served.js";

export async function openExplorer(): Promise<{ served: Served; browser: Browser }> {
  const browser = await launch();
  const served = await serveExplorer();
  afterAll(async () => {
    await browser.close();
    await served.close();
  });
  return { served, browser };
}
