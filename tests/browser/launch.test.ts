import { afterAll, expect, test } from "vitest";
import { launch } from "./chromium.js";

const browser = await launch();
afterAll(() => browser.close());

test("the browser reaches loopback and nothing else", async () => {
  const page = await browser.newPage();
  await page.goto("data:text/html,<h1>here</h1>");
  expect(await page.getByRole("heading").textContent()).toBe("here");
  await expect(page.goto("http://example.org/")).rejects.toThrow("ERR_NAME_NOT_RESOLVED");
});
