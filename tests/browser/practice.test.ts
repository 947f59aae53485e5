/** The practice bench as a trainee and a trainer meet it: a link, a machine that answers, an envelope, a class sheet. */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { arrivalOfDeal, codeOf, type Deal } from "../../engine/practice/deal.js";
import { Session } from "../../engine/practice/session.js";
import { numberOf } from "../../engine/catalog/figures.js";
import { Catalog } from "../../engine/catalog/schema.js";
import type { EntryOf, Ticket } from "../../engine/ticket/schema.js";
import { axe } from "./axe.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { RecordPage } from "./record-page.js";
import { TicketPage } from "./ticket-page.js";

const catalog = Catalog.parse(
  JSON.parse(readFileSync(new URL("../../priors/desktop.json", import.meta.url), "utf8")),
);
const deal: Deal = {
  catalog: "desktop",
  version: catalog.version,
  difficulty: "fitful",
  theme: "any",
  seed: 7,
};
const truth = arrivalOfDeal(catalog, deal).machine.truth;
const truthName = truth.model.causes[truth.causes[0]!]!.name;

const { served, browser } = await openExplorer();

/** A trainee follows the link and lays the machine on the bench. */
async function begin(width: number, height: number, by = "") {
  const visit = await Visit.begin(browser, { viewport: { width, height } });
  const { page } = visit;
  await page.goto(`${served.url}#/practice/${codeOf(deal)}`);
  await page.getByLabel(/^Your name/).fill(by);
  await page.getByRole("button", { name: /^Lay it on the bench/ }).click();
  const strip = page.getByRole("region", { name: "Log a start" });
  await strip.getByRole("button", { name: "Start it" }).waitFor({ timeout: 60_000 });
  const panel = page.getByRole("region", { name: "Practice machine" });
  const startIt = async (times: number) => {
    for (let k = 0; k < times; k++) {
      await strip.getByRole("button", { name: "Start it" }).and(page.locator(":enabled")).click();
      await strip.getByText(/^Last/).waitFor();
    }
    await strip.getByRole("button", { name: "Start it" }).and(page.locator(":enabled")).waitFor();
  };
  const ticket = new TicketPage(page);
  const saved = async () => JSON.parse(readFileSync(await ticket.saved(), "utf8")) as Ticket;
  return { visit, page, strip, panel, startIt, saved, reload: () => ticket.reload() };
}

const outcomes = ({ entries }: Ticket) =>
  entries
    .filter((e): e is EntryOf<"starts"> => e.kind === "starts" && e.by !== "owner")
    .flatMap((row) => row.trials.map((t) => t.outcome));

let record = "";

test("a trainee works the machine, takes a hint, hands it over, and the envelope tells the truth", async () => {
  const { visit, page, strip, panel, startIt, saved, reload } = await begin(
    1280,
    900,
    "Ada of the back bench",
  );
  expect(await page.getByRole("region", { name: "Do next" }).count()).toBe(0);
  const writeNote = async (text: string) => {
    const bench = new RecordPage(page);
    await bench.write("Note, photograph");
    await bench.dialog.getByRole("textbox").first().fill(text);
    await bench.confirm();
    await page.getByText(text).waitFor();
  };
  await writeNote("It is my first.");
  await strip.getByRole("button", { name: "Undo" }).click();
  await page.keyboard.press("Control+Shift+z");
  await page.getByText("It is my first.").waitFor();
  await strip.getByRole("button", { name: "Undo" }).click();
  await startIt(3);
  const before = await saved();
  expect(outcomes(before)).toHaveLength(3);
  // what tells most next is a hint, wherever it would stand
  const whatIf = page.getByRole("region", { name: "What if a prior is wrong?" });
  await page.getByRole("region", { name: "Is it fixed?" }).waitFor({ timeout: 90_000 });
  expect(await page.getByText("Better:").count()).toBe(0);
  expect(await whatIf.count()).toBe(0);
  await page.getByRole("link", { name: /^Tickets/ }).click();
  await page.getByText("what to do next is yours to find").first().waitFor();
  await page.goBack();
  await strip.getByRole("button", { name: "Start it" }).waitFor();
  // what the page has is what the machine answers to the same record
  expect(new Session(catalog, arrivalOfDeal(catalog, deal)).play(before)).toHaveProperty("moves");
  // nothing but the deal speaks of the truth
  expect(JSON.stringify(before)).not.toContain(String(truth.rates[0]));
  expect(await page.getByText("What was wrong with it").count()).toBe(0);

  await strip.getByRole("button", { name: "Undo" }).click();
  await strip.getByText("What this machine has answered stays in the record.").waitFor();
  expect(outcomes(await saved())).toHaveLength(3);

  await page.getByRole("button", { name: "Looked at" }).click();
  const dialog = page.getByRole("dialog");
  await dialog.getByRole("combobox").selectOption({ index: 1 });
  await dialog.getByRole("button", { name: "Look", exact: true }).click();
  await dialog.waitFor({ state: "detached" });
  expect((await saved()).entries.at(-1)!.kind).toBe("finding");

  await page.keyboard.press("Control+z"); // refused: what was answered stays
  const atOnce = await panel.getByRole("button", { name: /^A hint/ }).evaluate(async (button) => {
    (button as HTMLElement).click();
    await new Promise(requestAnimationFrame);
    return button.closest("section")!.textContent;
  });
  expect(atOnce).toContain("working it out"); // not what it would have done before
  await panel.getByText(/The engine would now/).waitFor({ timeout: 90_000 });
  // a hint that was paid for stands until something is done to the machine
  await writeNote("It says so.");
  await panel.getByText(/The engine would now/).waitFor({ timeout: 90_000 });
  await page.getByRole("link", { name: /^Tickets/ }).click();
  await page.getByText("what to do next is yours to find").first().waitFor();
  await page.goBack();
  await panel.getByText(/The engine would now/).waitFor({ timeout: 90_000 });
  await reload();
  await panel.getByText(/The engine would now/).waitFor({ timeout: 90_000 });

  await panel.getByRole("button", { name: "Hand it over" }).click();
  const handedOver = panel.getByRole("button", { name: /^It is in order/ });
  expect(await handedOver.isDisabled()).toBe(true); // no answer is given in advance
  expect(await panel.getByLabel("What was it?").inputValue()).toBe("");
  await panel.getByLabel("What was it?").selectOption({ label: truthName });
  await handedOver.click();
  const envelope = panel.getByRole("group", { name: "The envelope" });
  await envelope.waitFor({ timeout: 60_000 });
  expect(await envelope.textContent()).toContain(truthName);
  expect(await envelope.textContent()).toContain("of 100 points, 5 lost on hints");
  await whatIf.waitFor();
  await envelope.getByText(/Handing it over|No choice cost more/).waitFor({ timeout: 90_000 });
  const { violations } = await axe(page).analyze();
  expect(violations.map((v) => v.id)).toEqual([]);

  // closed: nothing more is answered, and a reload finds it so
  expect(await strip.getByRole("button", { name: "Start it" }).isDisabled()).toBe(true);
  record = JSON.stringify(await saved());
  await reload();
  await panel.getByRole("button", { name: "Open the envelope" }).waitFor({ timeout: 60_000 });
  expect(visit.errors).toEqual([]);
  expect(visit.strays).toEqual([]);
  await visit.end();
});

test("on another phone the same link is the same machine with the same luck", async () => {
  const { visit, page, startIt, saved } = await begin(390, 844);
  await startIt(3);
  expect(outcomes(await saved())).toEqual(outcomes(JSON.parse(record) as Ticket).slice(0, 3));
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  expect(visit.errors).toEqual([]);
  await visit.end();
});

test("a part that was bought is counted as it is put in, and a reload forgets nothing", async () => {
  const { visit, page, strip, panel, startIt, reload } = await begin(1280, 900);
  const board = catalog.parts.find((kind) => kind.id === "board")!;
  const counted = panel.getByText(String(numberOf(board.price!)), { exact: true });
  await page.getByText("Move by list").click();
  await page
    .getByRole("combobox", { name: "Part", exact: true })
    .selectOption({ label: "Spare board (spare, to be bought)" });
  await page.getByRole("combobox", { name: "To", exact: true }).selectOption({ label: "Board" });
  await page.getByRole("button", { name: "Move", exact: true }).click();
  await counted.waitFor({ timeout: 60_000 });
  // the head of the ticket says what the panel says
  const took = (await panel.getByRole("definition").first().textContent())!.trim();
  expect(took).not.toBe("0 min");
  expect((await page.locator(".sum").textContent())!.trim()).toBe(`${took} on the bench`);
  await startIt(1); // moved before anything else was done, and the machine still answers
  await reload();
  await strip.getByRole("button", { name: "Start it" }).waitFor({ timeout: 60_000 });
  await counted.waitFor({ timeout: 60_000 });
  expect(visit.errors).toEqual([]);
  await visit.end();
});

test("a link of another version, or cut off, says what is wrong with it", async () => {
  const visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 } });
  await visit.page.goto(`${served.url}#/practice/desktop/none/fitful/any/x`);
  const alert = visit.page.getByRole("alert");
  await alert.getByText('"none"').waitFor();
  expect(await alert.textContent()).toContain("seed");
  await visit.end();
});

test("a trainer hands out links, and reads from the records where each lost most", async () => {
  const visit = await Visit.begin(browser, { viewport: { width: 1280, height: 900 } });
  const { page } = visit;
  await page.goto(`${served.url}#/practice/class`);
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: "Save the links" }).click(),
  ]);
  const links = readFileSync(await download.path(), "utf8")
    .trim()
    .split("\n");
  expect(links).toHaveLength(4);
  expect(links[0]).toContain(`#/practice/desktop/${catalog.version}/fitful/any/1`);

  const file = (name: string, text: string) => ({
    name,
    mimeType: "application/json",
    buffer: Buffer.from(text),
  });
  const forged = JSON.parse(record) as Ticket;
  const row = forged.entries.find((e) => e.kind === "starts" && e.by !== "owner") as EntryOf<"starts">;
  row.trials[0]!.outcome = row.trials[0]!.outcome === "clean" ? "dead" : "clean";
  await page
    .getByLabel("Record files")
    .setInputFiles([
      file("ada.json", record),
      file("forged.json", JSON.stringify(forged)),
      file("broken.json", "{"),
    ]);
  const sheet = page.getByRole("region", { name: "Class sheet" });
  await sheet.getByText(/Ada of the back bench, machine 7: \d+ of 100 points/).waitFor({ timeout: 110_000 });
  await sheet.getByText(/forged.json was not read/).waitFor({ timeout: 60_000 });
  await sheet.getByText(/broken.json was not read/).waitFor({ timeout: 60_000 });
  expect(await sheet.textContent()).toContain("which this machine answers");
  await sheet.getByRole("list", { name: "Where it cost most" }).waitFor({ timeout: 60_000 });
  expect(visit.errors).toEqual([]);
  await visit.end();
});
