/** The panels beside the record, by what somebody sees and touches: parts moved, tests started, charts saved. */
import { readFileSync } from "node:fs";
import type { Locator, Page } from "playwright-core";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { ticketWith } from "./bench-ticket.js";
import { openExplorer } from "./explorer.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();

const cold = { rest: "cold" };
const record = ticketWith(
  { kind: "starts", by: "owner", conditions: cold, trials: [{ outcome: "dead", n: 5 }, { outcome: "clean", n: 9 }] },
  { kind: "starts", conditions: cold, trials: [{ outcome: "dead", n: 2 }, { outcome: "clean", n: 1 }] },
  { kind: "starts", trials: [{ outcome: "clean", n: 4 }, { outcome: ["dead", "memory"] }] },
); // prettier-ignore

/** Downloads what the button hands out. */
async function saved(page: Page, button: Locator): Promise<string> {
  const [download] = await Promise.all([page.waitForEvent("download"), button.click()]);
  return readFileSync(await download.path(), "utf8");
}

describe.each([
  { place: "on a phone", viewport: { width: 390, height: 844 }, hasTouch: true },
  { place: "on the bench", viewport: { width: 1280, height: 900 }, hasTouch: false },
])("$place", ({ viewport, hasTouch }) => {
  let visit: Visit;
  let page: Page;
  let bench: RecordPage;
  let fitted: Locator;
  const drawing = () => fitted.getByRole("group", { name: "Drawing of the machine" });
  const place = (name: string) => drawing().getByTitle(new RegExp(`^${name}:`));

  beforeEach(async () => {
    visit = await Visit.begin(browser, { viewport, hasTouch });
    page = visit.page;
    bench = new RecordPage(page);
    fitted = page.getByRole("region", { name: "What is fitted where" });
    await bench.open(served.url, record);
    await bench.settled();
  });
  afterEach(async () => {
    const aside = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(aside).toBeLessThanOrEqual(0);
    await visit.end();
    expect(visit.errors).toEqual([]);
    expect(visit.strays).toEqual([]);
  });

  test("the chart of what was foreseen is drawn before the press, and says what stands beside it", async () => {
    await page.evaluate(`window.made = [];
      document.createElementNS = (space, name) => {
        const element = Document.prototype.createElementNS.call(document, space, name);
        if (name === "svg") made.push(element);
        return element;
      }`);
    await bench.couldBe.scrollIntoViewIfNeeded(); // out of view no chart is drawn
    const isDrawnAhead = async () => {
      await bench.proved();
      await bench.couldBe.evaluate((region) => {
        const window = globalThis as unknown as { made: Element[]; later: Promise<number> };
        const before = window.made.length;
        window.later = new Promise((resolve) => {
          const drawn = () => (watch.disconnect(), resolve(window.made.length - before));
          const watch = new MutationObserver(drawn);
          watch.observe(region.querySelector(".plot svg")!, {
            subtree: true,
            childList: true,
            attributes: true,
          });
        });
      });
      await bench.press("clean", 1);
      return (await page.evaluate<number>("later")) === 0;
    };
    await expect.poll(isDrawnAhead, { timeout: 60_000, interval: 3000 }).toBe(true);
    await bench.weighed();
    const { drawn, beside } = await bench.couldBe.evaluate((region) => ({
      drawn: region.querySelector(".plot svg")!.textContent,
      beside: [...region.querySelectorAll(".plot li")].map((li) => li.textContent!.trim().split(", ")),
    }));
    for (const said of beside.flat()) expect(drawn).toContain(said);
  });

  test("a chart that was changed press by press looks like one drawn afresh", async () => {
    const pictures = async () => {
      const { couldBe } = bench;
      await couldBe.scrollIntoViewIfNeeded();
      await couldBe.getByRole("button", { name: "Still at work" }).click();
      await bench.proved();
      return couldBe
        .locator(".plot svg")
        .evaluate((svg) => svg.outerHTML.replace(/\d+\.\d+/g, (n) => (+n).toFixed(2)));
    };
    for (const outcome of ["clean", "memory", "clean"]) {
      await bench.press(outcome, 1);
      await bench.weighed();
    }
    const changed = await pictures();
    await bench.reload();
    expect(await pictures()).toBe(changed);
  });

  test("what is out of date is told at once, and shown after a while", async () => {
    const fixed = page.getByRole("region", { name: "Is it fixed?" });
    const tag = () => fixed.evaluate((region) => getComputedStyle(region, "::after").content);
    await bench.proved();
    const clean = bench.strip.getByRole("button", { name: /^clean/ });
    const atOnce = await clean.evaluate(async (button) => {
      const region = document.querySelector('[aria-labelledby="is-fixed"]')!;
      (button as HTMLElement).click();
      await new Promise(requestAnimationFrame);
      return [region.ariaBusy, getComputedStyle(region, "::after").content];
    });
    expect(atOnce).toEqual(["true", "none"]);
    await fixed.and(page.locator("[data-late]")).waitFor();
    expect(await tag()).toContain("being weighed");
    await bench.proved();
    expect(await tag()).toBe("none");
  });

  test("a part goes where it is touched to, dragged to, or sent by keys; every move is a change in the record", async () => {
    const touch = (one: Locator) => (hasTouch ? one.tap() : one.click());
    await touch(fitted.getByRole("button", { name: "Spare supply" }));
    await touch(place("Supply bay"));
    await fitted.getByText("Spare supply: Supply bay.").waitFor();
    expect(await place("Supply bay").getAttribute("title")).toContain("Spare supply");

    if (!hasTouch) {
      await place("Slot A1").hover();
      await page.mouse.down();
      const slot = (await place("Slot A2").boundingBox())!;
      await page.mouse.move(slot.x + slot.width / 2, slot.y + slot.height / 2, { steps: 5 });
      await page.mouse.up();
      await fitted.getByText("Module 1: Slot A2.").waitFor();
      expect(await place("Slot A1").getAttribute("title")).toContain("Module 2"); // they changed places
    }

    await place("Slot A2").focus();
    await page.keyboard.press("ArrowLeft");
    expect(await page.evaluate(() => (document.activeElement as HTMLElement).title)).toContain("Slot A1");
    await page.keyboard.press("Delete");
    await fitted.getByText(/: on the shelf\./).waitFor();
    expect(await place("Slot A1").getAttribute("title")).toContain("empty");

    const last = (await bench.now()).entries.at(-1);
    expect(last?.kind).toBe("change");
  });

  test.runIf(!hasTouch)(
    "a part let go over nothing, or where it does not fit, stays where it was",
    async () => {
      const before = await bench.now();
      await place("Slot A1").hover();
      await page.mouse.down();
      const bay = (await place("Supply bay").boundingBox())!;
      await page.mouse.move(bay.x + bay.width / 2, bay.y + bay.height / 2, { steps: 5 });
      await page.mouse.up();
      await fitted.getByText("Module 1 does not fit into Supply bay.").waitFor();
      await place("Slot A1").hover();
      await page.mouse.down();
      await page.mouse.move(5, 5, { steps: 5 });
      await page.mouse.up();
      expect(await fitted.getByText(/is in your hand/).count()).toBe(0);
      expect(await bench.now()).toEqual(before);
    },
  );

  test.runIf(!hasTouch)(
    "a touched suspect shows where it sits, what it depends on, and what speaks for it",
    async () => {
      await bench.couldBe.getByRole("button", { name: /^Standby rail.*Own supply/ }).click();
      await fitted.getByText(/Sits in own supply; depends on .*before the start/).waitFor();
      expect(await place("Supply bay").textContent()).toContain("suspected");
      const ledger = page.getByRole("region", { name: "What each entry says of it" });
      expect(await ledger.getByRole("combobox").inputValue()).toContain("standby");
      // a warm start exercises it a tenth as much as a cold one
      await bench.strip.getByRole("button", { name: "Cold" }).click();
      await fitted.getByText(/exercises it as a usual one does/).waitFor();
      await bench.strip.getByRole("button", { name: "Warm" }).click();
      await fitted.getByText(/exercises it 0\.10 times as much/).waitFor();
    },
  );

  test("a test that is started, from wherever, comes into view with its cautions and its clock", async () => {
    const cost = page.getByRole("region", { name: "What it will cost from here" });
    const start = cost.getByRole("button", { name: "Start this" }).first();
    await start.scrollIntoViewIfNeeded();
    await start.click();
    await page.keyboard.press("Escape"); // the form of a look
    const work = page.getByRole("group", { name: "Under way" });
    await work.waitFor();
    await expect.poll(() => work.evaluate((node) => node.getBoundingClientRect().top >= 0 && node.getBoundingClientRect().top < innerHeight / 2)).toBe(true); // prettier-ignore
    expect(await work.getByRole("timer").textContent()).toMatch(/^0:0\d/);
  });

  test.runIf(!hasTouch)("every chart has its table, and both can be saved", async () => {
    await page.getByText("What if a prior is wrong?").click();
    for (const name of [
      "Do next",
      "What it could be",
      "Is it fixed?",
      "What is fitted where",
      "Belief through the record",
      "What each entry says of it",
      "What has been tried",
      "How often each would show",
    ]) {
      const panel = page.getByRole("region", { name, exact: true });
      const picture = panel.getByRole("img").first();
      expect(await picture.getAttribute("aria-label"), name).not.toBe("");
      await panel.getByText(/^Figures/).first().click(); // prettier-ignore
      const table = panel.getByRole("table").first();
      await table.waitFor();
      const rows = await table.getByRole("row").count();
      expect(rows, name).toBeGreaterThan(1);
      const csv = await saved(page, panel.getByRole("button", { name: "Save figures (CSV)" }).first());
      expect(csv.trim().split("\n").length, name).toBe(rows);
      const svg = await saved(page, panel.getByRole("button", { name: "Save picture (SVG)" }).first());
      expect(svg, name).toMatch(/^<svg/);
      expect(svg, name).not.toContain("var(");
      await panel.getByText(/^Figures/).first().click(); // prettier-ignore
    }
  });
});
