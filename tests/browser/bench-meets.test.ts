/** What a bench really meets, each from the page, by what somebody sees and presses. */
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { ticket, ticketWith } from "./bench-ticket.js";
import type { Draft } from "../../explorer/bench/ticket-edits.js";
import { openExplorer } from "./explorer.js";
import { RecordPage } from "./record-page.js";
import { Visit } from "./served.js";

const { served, browser } = await openExplorer();

describe("on a phone", () => {
  let visit: Visit;
  let bench: RecordPage;

  beforeEach(async () => {
    visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 }, hasTouch: true });
    bench = new RecordPage(visit.page);
  });
  afterEach(async () => {
    expect(
      await visit.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
    await visit.end();
    expect(visit.errors).toEqual([]);
    expect(visit.strays).toEqual([]);
  });
  const about = () => bench.strip.getByRole("button", { name: /About the last start/ });

  test("a start whose stop nobody saw is a set of outcomes", async () => {
    await bench.open(served.url, ticket);
    await bench.strip.getByRole("button", { name: "not seen where" }).click();
    await bench.strip.getByRole("button", { name: /^freezes/ }).click(); // it never came so far
    await bench.strip.getByRole("button", { name: "Log: one of these" }).click();
    await bench.tally("nothing or memory", 1).waitFor();
    expect((await bench.now()).entries.at(-1)).toMatchObject({ trials: [{ outcome: ["dead", "memory"] }] });
  });

  test("a beep code stands with its failed start, and the next time it is one touch", async () => {
    await bench.open(served.url, ticket);
    await bench.press("memory", 1);
    await about().click();
    await bench.dialog.getByLabel("Beeps, lamps or number shown").fill("3 short");
    await bench.confirm();
    await bench.press("memory", 1);
    await about().click();
    await bench.dialog.getByRole("button", { name: "3 short" }).click();
    const entry = (await bench.now()).entries.at(-1);
    expect(entry?.kind === "starts" && entry.trials.map((trial) => trial.code)).toEqual([
      "3 short",
      "3 short",
    ]);
    await bench.entry(2).locator("summary").click();
    await expect.poll(() => bench.entry(2).getByText("code 3 short").count()).toBe(2);
  });

  test("a start made with the switch off is voided, stays, and can count again", async () => {
    await bench.open(served.url, ticket);
    await bench.press("nothing", 2);
    await about().click();
    await bench.dialog.getByRole("button", { name: "forgot the switch" }).click();
    await bench.record.getByText(/nothing\s+1\s+1 void/).waitFor();
    expect((await bench.now()).entries.at(-1)).toMatchObject({
      trials: [{ outcome: "dead" }, { outcome: "dead", voided: "forgot the switch" }],
    });
    await bench.entry(2).locator("summary").click();
    await bench.record.getByRole("button", { name: "Count it again" }).click();
    await bench.tally("nothing", 2).waitFor();
  });

  test("what a power cycler counted overnight is typed in: 37 clean, 2 stops", async () => {
    await bench.open(served.url, ticket);
    await bench.write("Starts counted");
    await bench.dialog.getByLabel("Clean", { exact: true }).fill("37");
    await bench.dialog.getByLabel("Stopped, not seen where").fill("2");
    await bench.confirm();
    await bench.tally("clean", 37).waitFor();
    expect((await bench.now()).entries.at(-1)).toMatchObject({
      kind: "starts",
      trials: [
        { outcome: "clean", n: 37 },
        { outcome: ["dead", "memory", "load"], n: 2 },
      ],
    });
    await bench.settled();
    expect(await bench.entry(2).getByText(/db/).count()).toBeGreaterThan(0);
  });

  test("a run that froze after 20 of 60 minutes says so", async () => {
    await bench.open(served.url, ticket);
    await bench.strip.getByRole("button", { name: "under load" }).click();
    await bench.press("freezes", 1);
    await about().click();
    await bench.dialog.getByLabel(/It stopped at minute, of 60/).fill("20");
    await bench.confirm();
    await bench.settled();
    expect((await bench.now()).entries.at(-1)).toMatchObject({
      conditions: { load: "hour" },
      trials: [{ outcome: "load", minute: 20 }],
    });
    expect(await bench.record.getByRole("alert").count()).toBe(0);
  });

  test("the suspect part is tried in another machine, fails there, and comes home", async () => {
    await bench.open(served.url, ticket);
    await bench.write("Try a part elsewhere");
    await bench.dialog.getByLabel("Which part").selectOption("Module 1");
    await bench.dialog.getByLabel("What that machine is called").fill("bench machine");
    await bench.confirm("It is in there");
    await bench.press("memory", 3);
    await bench.settled();
    await bench.write("Back in its own machine");
    const { machine, entries } = await bench.now();
    expect(machine.donors).toEqual([{ id: "donor-1", name: "bench machine" }]);
    expect(entries.slice(1)).toMatchObject([
      { kind: "change", in: "donor-1", fit: { A1: "m1" } },
      { kind: "starts" },
      { kind: "change", in: "own", fit: { A1: "m1" } },
    ]);
    await bench.settled();
    expect(await bench.couldBe.textContent()).toMatch(/Memory cells weak/);
  });

  test("a cause of one's own joins the list when nothing on it fits, and the engine refuses a wrong one", async () => {
    const dead: Draft = { kind: "starts", conditions: { rest: "cold" }, trials: [{ outcome: "dead", n: 6 }] };
    const swap: Draft = { kind: "change", fit: { bay: "s2" } };
    await bench.open(served.url, ticketWith(dead, swap, dead));
    await bench.page.getByText(/the list may be missing the cause/).waitFor();
    await bench.write("A cause of my own");
    await bench.dialog.getByLabel("What it is, in a few words").fill("Stand-off shorts the board");
    await bench.confirm("Put it on the list");
    await bench.dialog.getByText("at least one stage").waitFor();
    await bench.dialog.getByLabel("Nothing at all").check();
    await bench.confirm("Put it on the list");
    await bench.dialog.waitFor({ state: "detached" });
    await bench.settled();
    expect(await bench.couldBe.textContent()).toMatch(/Stand-off shorts the board/);
    expect((await bench.now()).causes).toMatchObject([
      { id: "own-stand-off-shorts-the-board", signature: { dead: 1 } },
    ]);
  });

  test("a ticket that waits for the owner's yes is parked, and taken back", async () => {
    await bench.open(served.url, ticket);
    await bench.write("Park");
    await bench.confirm("Waiting for the owner's yes");
    await bench.record.getByText(/Parked/).waitFor();
    expect((await bench.now()).parked).toMatchObject({ for: "owner" });
    await bench.write("Back on the bench");
    expect((await bench.now()).parked).toBeUndefined();
  });

  test("a press on a parked ticket says that it is back on the bench, and undo parks it again", async () => {
    await bench.open(served.url, { ...ticket, parked: { for: "part", since: "2030-01-02T08:00:00.000Z" } });
    const button = bench.strip.getByRole("button", { name: /^memory/ });
    const place = await button.boundingBox();
    await bench.press("memory", 1);
    expect(await button.boundingBox()).toEqual(place); // under the thumb, whatever is said
    await bench.strip.getByText("Back on the bench: it was parked, waiting for a part to come.").waitFor();
    expect((await bench.now()).parked).toBeUndefined();
    await bench.undo();
    await bench.strip.getByText("Parked again").waitFor();
    await bench.record.getByText(/^Parked/).waitFor();
  });

  test("a release ends a parking, and a press after it says that the record goes on", async () => {
    const released = ticketWith({ kind: "release", at: "2030-01-03T08:00:00.000Z" });
    await bench.open(served.url, { ...released, parked: { for: "part", since: "2030-01-02T08:00:00.000Z" } });
    await bench.record.getByText("What is logged from here on stands after the release.").waitFor();
    expect(await bench.record.getByText(/^Parked/).count()).toBe(0);
    await bench.press("memory", 1);
    await bench.strip.getByText("the release is no longer its last word").waitFor();
    await bench.record.getByText("The record goes on after it").waitFor();
    expect((await bench.now()).entries).toHaveLength(released.entries.length + 1);
  });
});
