/** Everybody can use it: keys alone, a screen reader, twice the size, other colours, no motion, paper. */
import type { Page } from "playwright-core";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { PAGES } from "../../explorer/pages.js";
import { axe } from "./axe.js";
import { ticketWith } from "./bench-ticket.js";
import { openExplorer } from "./explorer.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let page: Page;
let bench: RecordPage;

const cold = { rest: "cold" };
const record = ticketWith(
  { kind: "starts", conditions: cold, trials: [{ outcome: "dead", n: 2 }, { outcome: "clean", n: 1 }] },
  { kind: "reading", reading: "standby-volts", on: "s1", value: 4.6 },
  { kind: "change", fit: { bay: "s2" } },
  { kind: "starts", trials: [{ outcome: "clean", n: 4 }, { outcome: ["dead", "memory"] }] },
  { kind: "note", text: "Smells of dust." },
); // prettier-ignore

const BENCH = { width: 1280, height: 900 };
const PHONE = { width: 390, height: 844 };

async function open(viewport = BENCH): Promise<void> {
  visit = await Visit.begin(browser, { viewport });
  page = visit.page;
  bench = new RecordPage(page);
  await bench.open(served.url, record);
  await bench.settled();
  // what is worked out last still makes rows higher, and what has the focus may slide under the strip with them
  await page.waitForFunction(() => document.querySelector("[aria-busy=true]") === null);
}
afterEach(async () => {
  await visit.end();
  expect(visit.errors).toEqual([]);
});

/** What has the focus, as it is painted: its name, whether it is marked, and whether something lies over it. */
const focused = () =>
  page.evaluate(async () => {
    // rows that come into sight take their real height in the frame after the one that scrolled there
    for (let frames = 0; frames < 2; frames++) await new Promise(requestAnimationFrame);
    const node = document.activeElement as HTMLElement;
    const { left, top, width, height } = node.getBoundingClientRect();
    const over = document.elementFromPoint(left + width / 2, top + height / 2);
    return {
      name: (node.getAttribute("aria-label") ?? node.textContent ?? "").trim().replace(/\s+/g, " ").slice(0, 60),
      atBody: node === document.body,
      marked: parseFloat(getComputedStyle(node).outlineWidth) >= 2,
      seen: over !== null && (node.contains(over) || over.contains(node)),
    };
  }); // prettier-ignore

describe.each([
  { place: "on the bench", viewport: BENCH },
  { place: "on a phone", viewport: PHONE },
])("by keys alone, $place", ({ viewport }) => {
  beforeEach(() => open(viewport));

  test("Tab reaches everything that can be pressed, and what has the focus is marked and in sight", async () => {
    const wanted = await page.evaluate(() => {
      const all = document.querySelectorAll<HTMLElement>("a[href], button:not(:disabled), select, input, textarea, summary"); // prettier-ignore
      const seen = [...all].filter((node) => node.checkVisibility({ visibilityProperty: true }));
      seen.forEach((node, k) => (node.dataset["wanted"] = String(k)));
      return seen.length;
    });
    expect(wanted).toBeGreaterThan(40);
    const reached = new Set<string>();
    const faults: string[] = [];
    for (let k = 0; k < 2 * wanted; k++) {
      await page.keyboard.press("Tab");
      const now = await focused();
      if (now.atBody) break;
      if (!now.marked || !now.seen) faults.push(`${now.name}: ${now.marked ? "covered" : "not marked"}`);
      reached.add(await page.evaluate(() => (document.activeElement as HTMLElement).dataset["wanted"] ?? ""));
    }
    reached.delete("");
    expect(faults).toEqual([]);
    expect(reached.size).toBe(wanted);
  });

  test("a start is logged, undone and logged again; a test is begun and put aside; a suspect is opened", async () => {
    const starts = async () => (await bench.now()).entries.filter((entry) => entry.kind === "starts").length;
    await page.keyboard.press("1");
    await bench.tally("nothing", 1).waitFor();
    expect(await starts()).toBe(3);
    await page.keyboard.press("Control+z");
    expect(await starts()).toBe(2);
    await page.keyboard.press("Control+Shift+z");
    expect(await starts()).toBe(3);
    await bench.settled();

    await bench.doNext.getByRole("button", { name: "Start this" }).first().focus();
    await page.keyboard.press("Enter");
    await page.keyboard.press("Escape");
    await bench.doNext.getByRole("group", { name: "Under way" }).waitFor();
    await bench.doNext.getByRole("button", { name: "End it without" }).focus();
    await page.keyboard.press("Enter");
    expect(await bench.doNext.getByRole("group", { name: "Under way" }).count()).toBe(0);

    const suspect = bench.couldBe.getByRole("button", { name: /^Standby rail.*Own supply/ });
    await suspect.focus();
    await page.keyboard.press("Enter");
    expect(await suspect.getAttribute("aria-expanded")).toBe("true");
  });
});

/** Everything that is folded stands open. */
const unfold = () =>
  page.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));

test.each([
  { colorScheme: "light", viewport: BENCH },
  { colorScheme: "dark", viewport: PHONE },
] as const)("axe finds nothing on any page, in $colorScheme", async ({ colorScheme, viewport }) => {
  await open(viewport);
  await page.emulateMedia({ colorScheme });
  const found: string[] = [];
  const look = async (where: string) => {
    const { violations } = await axe(page).analyze();
    for (const { id, nodes } of violations)
      found.push(`${where}: ${id}: ${nodes.map((node) => node.html.slice(0, 160)).join(" | ")}`);
  };
  await bench.couldBe.getByRole("button", { name: /^Standby rail.*Own supply/ }).click();
  await unfold();
  await look("ticket");
  for (const where of ["list", "new", ...Object.keys(PAGES)]) {
    await page.goto(`${served.url}#/${where}`);
    await page.getByRole("heading", { level: 1 }).first().waitFor();
    await unfold();
    await look(where);
  }
  expect(found).toEqual([]);
});

/** What sticks out to the right. */
const tooWide = () =>
  page.evaluate(() =>
    [...document.querySelectorAll("main *")]
      .filter((node) => node.getBoundingClientRect().right > innerWidth + 1)
      .slice(0, 5)
      .map((node) => node.outerHTML.slice(0, 200))
      .join("\n"),
  );

test("at 200 % nothing scrolls sideways and the strip leaves room to read", async () => {
  await open({ width: 640, height: 450 });
  await unfold();
  const { aside, strip } = await page.evaluate(() => ({
    aside: document.documentElement.scrollWidth - innerWidth,
    strip: document.querySelector("[aria-label='Log a start']")!.getBoundingClientRect().height / innerHeight,
  }));
  expect(aside, await tooWide()).toBeLessThanOrEqual(0);
  expect(strip).toBeLessThan(0.5);
});

test("with reduced motion nothing moves", async () => {
  await open();
  await page.emulateMedia({ reducedMotion: "reduce" });
  await page.keyboard.press("0");
  const moving = await page.evaluate(() => document.getAnimations().length);
  expect(moving).toBe(0);
  const smooth = await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior);
  expect(smooth).toBe("auto");
});

test("in forced colours what is pressed, in the hand or suspected still differs from what is not", async () => {
  await open();
  await page.emulateMedia({ forcedColors: "active" });
  const look = (name: string, pressed: boolean) =>
    page
      .getByRole("button", { name, exact: true, pressed })
      .first()
      .evaluate((node) => getComputedStyle(node).backgroundColor);
  expect(await look("Warm", true)).not.toBe(await look("Cold", false));
  const drawing = page.getByRole("group", { name: "Drawing of the machine" });
  const side = (title: RegExp) =>
    drawing.getByTitle(title).evaluate((node) => {
      const { backgroundColor, borderTopWidth, borderTopStyle } = getComputedStyle(node);
      return [backgroundColor, borderTopWidth, borderTopStyle].join(" ");
    });
  const plain = await side(/^Slot A1/);
  await drawing.getByTitle(/^Slot A1/).click();
  expect(await side(/^Slot A1/)).not.toBe(plain); // in the hand
  expect(await side(/^Slot A2/)).not.toBe(plain); // where it may go
  await page.keyboard.press("Escape");
  await bench.couldBe.getByRole("button", { name: /^Standby rail.*Own supply/ }).click();
  const shelf = page.getByRole("group", { name: "Shelf" }).getByRole("button", { name: /Own supply/ });
  expect(await shelf.evaluate((node) => getComputedStyle(node).borderTopWidth)).toBe("4px");
});

test("on paper there is the record and what it says, and nothing to press", async () => {
  await open();
  await page.emulateMedia({ media: "print" });
  const pressable = await page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>("button, select, input, summary")]
      .filter((node) => node.checkVisibility())
      // what is drawn of buttons prints as a drawing: the machine and its shelf, tally marks, rows of a plot
      .filter(
        (node) =>
          !node.closest(
            "[role=group], [data-entry], section[aria-labelledby=could-be] ul, section[aria-labelledby=not-yet]",
          ),
      )
      .map((node) => (node.textContent ?? "").trim()),
  );
  expect(pressable).toEqual([]);
  for (const [outcome, n] of [["nothing", 2], ["clean", 4]] as const) expect(await bench.tally(outcome, n).isVisible()).toBe(true); // prettier-ignore
  const clipped = await page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>(".page, main, .side, .sheetside")]
      .filter((node) => node.scrollHeight > node.clientHeight + 1)
      .map((node) => node.className),
  );
  expect(clipped).toEqual([]);
  expect((await page.pdf({ format: "A4" })).length).toBeGreaterThan(10_000);
});
