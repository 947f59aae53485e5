/** The record, edited anywhere, with all that can stand in it, and the papers made from it. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { axe } from "./axe.js";
import { ticket, ticketWith } from "./bench-ticket.js";
import { openExplorer } from "./explorer.js";
import { geotagged, LATITUDE } from "./geotagged.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let bench: RecordPage;
const folder = mkdtempSync(join(tmpdir(), "fitful-papers-"));

afterAll(() => rmSync(folder, { recursive: true, force: true }));
beforeEach(async () => {
  visit = await Visit.begin(browser, { viewport: { width: 1280, height: 900 } });
  bench = new RecordPage(visit.page);
});
afterEach(async () => {
  await visit.end();
  expect(visit.errors).toEqual([]);
  expect(visit.strays).toEqual([]);
});

const worked = ticketWith(
  {
    kind: "starts",
    minutes: 12,
    conditions: { rest: "cold" },
    trials: [
      { outcome: "dead", n: 3 },
      { outcome: "clean", n: 2 },
    ],
  },
  { kind: "note", text: "The owner came by." },
  { kind: "change", minutes: 16, fit: { bay: "s2" } },
  { kind: "starts", minutes: 20, conditions: { rest: "cold" }, trials: [{ outcome: "clean", n: 12 }] },
);
const texts = () => bench.record.locator("[data-entry] h3").allTextContents();
const grip = (n: number) => bench.entry(n).getByRole("button", { name: /^Move, insert or delete/ });

test("entries are inserted, edited, moved and deleted by keys alone, and what follows is weighed again", async () => {
  await bench.open(served.url, worked);
  await bench.settled();
  const before = await bench.couldBe.textContent();

  await grip(3).focus();
  await bench.page.keyboard.press("ArrowDown");
  await bench.page.keyboard.press("Alt+ArrowDown"); // the change behind the starts that it was made for
  await expect
    .poll(texts)
    .toEqual([
      "Taken in",
      expect.any(String),
      "Note",
      expect.stringMatching(/^Starts, as it came in/),
      "Spare supply into supply bay",
    ]);
  await bench.settled();
  expect(await bench.couldBe.textContent()).not.toBe(before);

  await bench.page.keyboard.press("Alt+ArrowUp");
  await bench.settled();
  expect(await bench.couldBe.textContent()).toBe(before);

  await bench.page.keyboard.press("ArrowUp"); // to the note
  await bench.page.keyboard.press("Insert");
  await bench.dialog.getByRole("button", { name: "Looked at" }).press("Enter");
  await bench.dialog.getByLabel("Looked at").selectOption("Smell");
  await bench.dialog.getByRole("button", { name: "It smells burnt" }).press("Enter");
  await expect.poll(texts, { timeout: 20_000 }).toHaveLength(6); // it is looked at by an engine of its own first
  expect((await texts())[2]).toBe("Smell");

  await grip(2).focus();
  await bench.page.keyboard.press("Delete");
  await bench.settled();
  expect(await texts()).toHaveLength(5);
  await bench.reload(); // later, not only by undo
  await bench.record.getByText("Deleted entries").click();
  await bench.record.getByRole("button", { name: "Bring back: Starts: 3 nothing, 2 clean" }).click();
  expect((await texts())[1]).toMatch(/^Starts, as it came in, cold/);

  for (let n = 0; n < 5; n++) await bench.undo();
  await expect.poll(texts).toHaveLength(5);
  expect((await bench.now()).entries).toEqual(worked.entries);
});

test("what a sheet was opened from has the focus again, however it was closed", async () => {
  await bench.open(served.url, worked);
  const focused = () => bench.page.evaluate(() => document.activeElement?.getAttribute("aria-label"));
  const isClosed = () => bench.dialog.waitFor({ state: "detached" });

  await grip(3).focus();
  await bench.page.keyboard.press("Insert");
  await bench.dialog.getByRole("button", { name: "Note, photograph" }).press("Enter");
  await bench.dialog.getByRole("textbox").first().fill("Between.");
  await bench.dialog.getByRole("button", { name: "Write it down" }).press("Enter");
  await isClosed();
  expect(await focused()).toMatch(/^Move, insert or delete at entry [34], Note/);

  await bench
    .entry(2)
    .getByRole("button", { name: /^Edit entry/ })
    .press("Enter");
  await bench.dialog.getByRole("button", { name: "Close" }).press("Enter");
  await isClosed();
  expect(await focused()).toMatch(/^Edit entry 2,/);

  await grip(2).press("Enter"); // one sheet out of another
  await bench.dialog.getByRole("button", { name: "Insert before it" }).press("Enter");
  await bench.dialog.getByRole("heading", { name: "Write down before entry 2" }).waitFor();
  await bench.page.keyboard.press("Escape");
  await isClosed();
  expect(await focused()).toMatch(/^Move, insert or delete at entry 2,/);

  await bench.page.keyboard.press("Delete");
  await bench.record.getByText("Deleted entries").click();
  await bench.record.getByRole("button", { name: /^Bring back/ }).press("Enter");
  await expect.poll(focused).toMatch(/^Move, insert or delete at entry 2,/);
});

test("an entry is moved and deleted by its menu", async () => {
  await bench.open(served.url, worked);
  const [, starts, note, ...others] = await texts();
  await grip(2).click();
  await bench.dialog.getByRole("button", { name: "Move down" }).click();
  await expect.poll(texts).toEqual(["Taken in", note, starts, ...others]);
  await grip(2).click();
  await bench.dialog.getByRole("button", { name: "Delete this entry" }).click();
  await expect.poll(texts).toEqual(["Taken in", starts, ...others]);
  expect(await bench.dialog.count()).toBe(0);
});

test("at twice the size nothing needs scrolling sideways, and keys pass over the entries to what can be written", async () => {
  await bench.page.setViewportSize({ width: 640, height: 450 }); // 1280 × 900 at 200 %
  await bench.open(served.url, worked);
  await bench.settled();
  const past = bench.record.getByRole("button", { name: "Past the entries" });
  await past.focus();
  await bench.page.keyboard.press("Enter");
  expect(await bench.page.evaluate(() => document.activeElement?.textContent)).toBe("Looked at");
  await bench.page.keyboard.press("Enter");
  await bench.dialog.waitFor();
  expect(
    await bench.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
  ).toBeLessThanOrEqual(0);
  await bench.page.keyboard.press("Escape");
  const { violations } = await axe(bench.page).include("section[aria-label=Record]").analyze();
  expect(violations.map(({ id }) => id)).toEqual([]);
});

test("a row that begins stands in the blank line, and moves nothing below before its belief is there", async () => {
  await bench.open(served.url, ticketWith({ kind: "note", text: "From here on." }));
  await bench.proved();
  const tops = await bench.page.evaluate<Record<"before" | "pressed" | "after", number>>(`(async () => {
    const record = document.querySelector('[aria-label="Record"]');
    const strip = document.querySelector('[aria-label="Log a start"]');
    const belowAt = () => record.querySelector('[aria-label="Write in the record"]').offsetTop;
    const tops = { before: belowAt() };
    [...strip.querySelectorAll("button")].find((b) => b.textContent.includes("clean")).click();
    for (let n = 0; n < 300 && !(tops.after > tops.before); n++) {
      await new Promise(requestAnimationFrame);
      if (record.querySelector('[aria-label*="not saved yet"]')) tops.pressed ??= belowAt();
      tops.after = belowAt();
    }
    return tops;
  })()`);
  expect(tops.pressed).toBe(tops.before);
  expect(tops.after).toBeGreaterThan(tops.before + 50); // and there is a blank line again

  await grip(2).press("Delete");
  await bench.proved();
  const begins = await bench.page.evaluate(`(async () => {
    document.querySelector('[aria-label="Undo"]').click();
    await new Promise(requestAnimationFrame);
    return document.querySelector(".begins") !== null;
  })()`);
  expect(begins).toBe(false); // what comes back above the last row
  expect(await bench.record.locator("[data-entry]").count()).toBe(3);
});

test("an opened list of starts comes into view above the strip, and stays open when its row changes its place", async () => {
  const notes = Array.from({ length: 6 }, (_, n) => ({ kind: "note" as const, text: `Note ${n}` }));
  const starts = Array.from({ length: 4 }, () => ({ outcome: "clean" }));
  await bench.page.setViewportSize({ width: 390, height: 844 });
  await bench.open(served.url, ticketWith(...notes, { kind: "starts", trials: starts }));
  await bench.proved();
  expect(await bench.record.locator("[data-entry]").count()).toBe(8); // one more, and the last is in the next group
  const below = bench.record.locator("summary[title='Every start']");
  await below.evaluate((node) => node.scrollIntoView({ block: "end" }));
  await below.evaluate((node) => (node as HTMLElement).click());
  const list = bench.record.getByRole("button", { name: "Change or void start 4" });
  const boxes = async () => [await list.boundingBox(), await bench.strip.boundingBox()];
  await expect
    .poll(async () => {
      const [last, strip] = await boxes();
      return strip!.y - (last!.y + last!.height);
    })
    .toBeGreaterThanOrEqual(0);

  await grip(2).click();
  await bench.dialog.getByRole("button", { name: "Insert before it" }).click();
  await bench.dialog.getByRole("button", { name: "Note, photograph" }).click();
  await bench.dialog.getByRole("textbox").first().fill("Between.");
  await bench.confirm();
  await expect.poll(() => bench.record.locator("[data-entry]").count()).toBe(9);
  expect(await list.isVisible()).toBe(true);
});

test("an entry is dragged by its grip to another place", async () => {
  await bench.open(served.url, worked);
  await bench.settled(); // what an entry taught makes it taller
  await grip(3).scrollIntoViewIfNeeded();
  const [from, to] = [(await grip(3).boundingBox())!, (await bench.entry(2).boundingBox())!];
  await bench.page.mouse.move(from.x + 10, from.y + 10);
  await bench.page.mouse.down();
  await bench.page.mouse.move(from.x + 10, from.y - 20, { steps: 3 });
  await bench.page.mouse.move(from.x + 10, to.y + 5, { steps: 5 });
  await bench.page.mouse.up();
  await expect.poll(async () => (await texts())[1]).toBe("Note");
  expect(await bench.dialog.count()).toBe(0);

  const order = await texts();
  await grip(2).hover();
  await bench.page.mouse.down();
  await bench.page.mouse.move(from.x + 10, 400, { steps: 3 });
  await bench.page.mouse.move(-20, 400, { steps: 3 }); // out of the window: it stays where it was
  await bench.page.mouse.up();
  expect(await texts()).toEqual(order);
});

test("a photograph is stored small, without the place it was taken, and shown with words", async () => {
  await bench.open(served.url, ticket);
  const drawn = await bench.page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [2400, 1800];
    canvas.getContext("2d")!.fillRect(100, 100, 600, 400);
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg"));
    return [...new Uint8Array(await blob!.arrayBuffer())];
  });
  const picture = geotagged(Buffer.from(drawn));
  expect(picture.includes(Buffer.from(LATITUDE))).toBe(true);
  await bench.write("Note, photograph");
  await bench.dialog.getByLabel(/^Note, or what/).fill("Scorch mark by the plug");
  await bench.dialog.getByLabel("Photographs").setInputFiles([
    { name: "plug.jpg", mimeType: "image/jpeg", buffer: picture },
    { name: "not.jpg", mimeType: "image/jpeg", buffer: Buffer.from("no picture") },
  ]);
  await bench.dialog
    .getByText(/not\.jpg: photograph: found image\/jpeg that this browser cannot show/)
    .waitFor();
  await bench.dialog.getByAltText("Photograph 1 of this entry").waitFor();
  await bench.confirm();
  const image = bench.record.getByAltText("Photograph: Scorch mark by the plug");
  await image.waitFor();
  await bench.settled();
  await bench.reload();
  await image.waitFor();
  const size = await image.evaluate(async (node) => {
    const shown = node as HTMLImageElement;
    await shown.decode();
    return [shown.naturalWidth, shown.naturalHeight];
  });
  expect(size).toEqual([1600, 1200]);
  const bytes = Buffer.from(await bench.page.evaluate(storedPhoto));
  expect(bytes.includes(Buffer.from(LATITUDE))).toBe(false);
  expect(bytes.includes("Exif")).toBe(false);
});

test("a worksheet cell says the belief at its place, an error is an answer, and one without end is stopped", async () => {
  const cells = [
    'p("standby rail weak when cold · own supply")',
    "failed / starts",
    "4.81 V + 2 A",
    "f(n) = n < 2 ? 1 : f(n - 1) + f(n - 2); f(60)",
    "spent to hours",
  ];
  await bench.open(served.url, {
    ...worked,
    entries: [
      ...worked.entries,
      ...cells.map((expression, i) => ({ kind: "worksheet" as const, id: `w${i}`, expression })),
    ],
  });
  await bench.settled();
  const cell = (n: number) => bench.entry(worked.entries.length + n);
  await cell(1)
    .getByText(/^= 0\.\d+$/)
    .waitFor();
  await cell(2).getByText("= 0.176471").waitFor(); // 3 of 17
  await cell(3)
    .getByText(/cannot be worked out: Units do not match/)
    .waitFor();
  await cell(4).getByText("it took longer than 1 s and was stopped").waitFor();
  await cell(5).getByText("= 0.883333 hours").waitFor(); // 5 + 12 + 16 + 20 minutes
});

test("each line of a sheet has its result beside it on a phone too, and a wrong line is named where it stands", async () => {
  const sheet = `# what a new one costs
supply = 60

starts_that_failed_of_all_that_were_counted_at_this_bench = (failed + 3) / (starts + 17)
supply / 3`;
  const wrong = "supply / 2\nsupply + )\nsupply";
  await bench.page.setViewportSize({ width: 390, height: 844 });
  await bench.open(
    served.url,
    ticketWith(...[sheet, wrong].map((expression) => ({ kind: "worksheet" as const, expression }))),
  );
  await bench.settled();
  const lines = (n: number) =>
    bench
      .entry(ticket.entries.length + n)
      .locator("ol")
      .getByRole("listitem");
  await lines(2).nth(1).getByText("cannot be worked out: line 2: Value expected (char 10)").waitFor();
  const said = async (n: number) =>
    (await lines(n).allTextContents()).map((text) => text.replace(/\s+/g, " ").trim());
  expect(await said(1)).toEqual([
    "# what a new one costs",
    "supply = 60 = 60",
    "",
    expect.stringMatching(/^starts_that_failed_\w+ = .* = 0\.176471$/) as string,
    "supply / 3 = 20",
  ]);
  expect(await said(2)).toEqual([
    "supply / 2 = 30",
    expect.stringMatching(/^supply \+ \) cannot/) as string,
    "supply",
  ]);
  for (const part of await bench.record.locator("li :is(code, b, span)").all()) {
    const box = (await part.boundingBox())!;
    expect(box.x + box.width).toBeLessThanOrEqual(390);
  }
  const { violations } = await axe(bench.page).include("section[aria-label=Record]").analyze();
  expect(violations).toEqual([]);
});

test("a reading written in another unit is told beside its band as one in the band's own", async () => {
  const reading = (value: string) => ({
    kind: "reading" as const,
    reading: "standby-volts",
    value,
    on: "s1",
  });
  await bench.open(served.url, ticketWith(reading("4.9 V"), reading("4900 mV")));
  await bench.settled();
  for (const n of [1, 2])
    await bench
      .entry(ticket.entries.length + n)
      .getByText("in band 4.75–5.25 V")
      .waitFor();
});

test("a test that is started runs a clock over a reload, keeps the screen on, and its minutes stand on its result", async () => {
  await bench.page.addInitScript(() => {
    const asked: string[] = [];
    const request = async (kind: string) => {
      asked.push(kind);
      return { release: async () => void asked.push("released") };
    };
    Object.defineProperty(navigator, "wakeLock", { value: { request } });
    Object.defineProperty(navigator, "vibrate", { value: () => asked.push("felt") > 0 });
    Object.assign(window, { asked });
  });
  const asked = () => bench.page.evaluate(() => (window as unknown as { asked: string[] }).asked);
  await bench.open(served.url, ticket);
  await bench.settled();
  await bench.doNext
    .getByRole("button", { name: /^Start this/ })
    .first()
    .click();
  const under = bench.page.getByRole("group", { name: "Under way" });
  await under.waitFor();
  expect(await asked()).toEqual(["screen"]);
  await bench.reload();
  await under.getByRole("timer").waitFor();
  await under.getByRole("button", { name: /^End it, write down/ }).click();
  await expect.poll(asked).toEqual(["screen", "released"]);
  expect((await bench.now()).entries.at(-1)?.minutes).toBeGreaterThan(0);
  await bench.press("clean start", 1);
  expect((await asked()).at(-1)).toBe("felt");
});

test("the part that came out is sent back under warranty, and both papers print on what they have to say", async () => {
  await bench.open(served.url, worked);
  await bench.settled();
  await bench.write("The part that came out");
  await bench.confirm("back under warranty");
  await bench.write("Release");
  await bench.dialog.getByLabel(/Standby rail weak when cold · Own supply/).check();
  await bench.confirm("Release the machine");
  await bench.settled();

  await bench.record.getByRole("link", { name: "For the owner" }).click();
  const paper = bench.page.getByRole("main");
  await paper
    .getByText("We found it and made sure of it: the power supply (own supply: standby rail weak when cold).")
    .waitFor();
  await paper.getByText("Own supply, which came out: back under warranty.").waitFor();
  await paper.getByText(/fails again within 30 days/).waitFor();
  const owner = await print("owner.pdf");
  expect(pagesOf(owner)).toBe(1);

  await bench.page.getByRole("link", { name: "Back to the ticket" }).click();
  await bench.record.getByRole("link", { name: "For the warranty" }).click();
  await paper.getByText("3 failed of 5 starts").waitFor();
  await paper.getByText("0 failed of 12 starts").waitFor();
  expect(await paper.getByRole("region", { name: "Every start" }).getByRole("row").count()).toBe(1 + 3);
  expect(pagesOf(await print("warranty.pdf"))).toBe(1);
  const { violations } = await axe(bench.page).analyze();
  expect(violations.map(({ id }) => id)).toEqual([]);
});

/** The bytes of the only photograph in the browser's database. */
async function storedPhoto(): Promise<number[]> {
  const answer = <T>(request: IDBRequest<T>) =>
    new Promise<T>((done) => (request.onsuccess = () => done(request.result)));
  const database = await answer(indexedDB.open("fitful"));
  const [only] = await answer(database.transaction("photos").objectStore("photos").getAll());
  database.close();
  return [...new Uint8Array(await (only as { blob: Blob }).blob.arrayBuffer())];
}

async function print(name: string): Promise<Buffer> {
  const pdf = await bench.page.pdf({ preferCSSPageSize: true });
  writeFileSync(join(process.env["FITFUL_PAPERS"] ?? folder, name), pdf);
  return pdf;
}
const pagesOf = (pdf: Buffer): number => pdf.toString("latin1").match(/\/Type\s*\/Page\b/g)?.length ?? 0;
