/** The drawing of the machine under a finger: what is meant is what is touched. */
import { expect, test } from "vitest";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();

/**
 * Runs in the page: of 49 points in a square of 44 pixels around the middle of each place, those that touch another. The
 * outermost lie a pixel within, since the corners are round.
 */
const MISSED = `(() => {
  const places = [...document.querySelectorAll('[aria-label="Drawing of the machine"] [data-place]')];
  places[0].parentElement.scrollIntoView({ block: "center" });
  const steps = [-21, -14, -7, 0, 7, 14, 21];
  return places.filter((place) => !place.classList.contains("carrier")).flatMap((place) => {
    const { x, y, width, height } = place.getBoundingClientRect();
    const touched = (dx, dy) => document.elementFromPoint(x + width / 2 + dx, y + height / 2 + dy)?.closest("[data-place]");
    return steps.flatMap((dx) => steps.filter((dy) => touched(dx, dy) !== place).map((dy) => [place.dataset.place, dx, dy]));
  });
})()`;

test.each([
  { width: 360, height: 740 },
  { width: 390, height: 844 },
  { width: 1280, height: 800 },
])(
  "in a window of $width × $height a touch anywhere around the middle of a place is of that place",
  async (viewport) => {
    const visit = await Visit.begin(browser, { viewport, hasTouch: true });
    const { page } = visit;
    await page.goto(served.url);
    const drawing = page.getByRole("group", { name: "Drawing of the machine" });
    await drawing.waitFor();
    expect(await drawing.locator("[data-place]").count()).toBeGreaterThan(10);
    expect(await page.evaluate(MISSED)).toEqual([]);
    expect(await page.evaluate("document.documentElement.scrollWidth - innerWidth")).toBeLessThanOrEqual(0);
    await visit.end();
    expect([visit.errors, visit.strays]).toEqual([[], []]);
  },
);
