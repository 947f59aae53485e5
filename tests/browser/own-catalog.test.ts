/** A catalog of one's own, opened as a file on the list of tickets. */
import type { Page } from "playwright-core";
import { afterEach, beforeEach, expect, test } from "vitest";
import { catalog } from "../explorer/small.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let page: Page;

beforeEach(async () => {
  visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 } });
  page = visit.page;
  await page.goto(`${served.url}#/list`);
});
afterEach(async () => {
  await visit.end();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

const open = (data: object) =>
  page.getByLabel("Open a file").setInputFiles({
    name: "small.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(data)),
  });
const said = (words: string) => page.getByRole("status").getByText(words).waitFor();
const second = {
  ...catalog,
  version: "2",
  stages: catalog.stages.map((stage) => (stage.id === "dead" ? { ...stage, short: "not a sound" } : stage)),
};

test("is kept among the kinds of machine, and a ticket is taken in with it", async () => {
  await open(catalog);
  await said("“Small machine”, version 1, is kept among the kinds of machine.");
  await open(catalog);
  await said("is among the kinds of machine already");
  await page.reload();
  await page.getByRole("link", { name: "New ticket" }).click();
  await page.getByRole("button", { name: "Small machine" }).click();
  await page.getByRole("button", { name: "Take it in" }).click();
  const ticket = new TicketPage(page);
  await ticket.press("nothing", 1);
  await page.getByRole("img", { name: "1", exact: true }).waitFor();

  await page.getByRole("link", { name: /^Tickets/ }).click();
  await open(second);
  await said("kept in the place of version 1. One ticket is weighed with it from now on.");
  await page.getByRole("link", { name: /^Small machine/ }).click();
  await ticket.strip.getByRole("button", { name: /^not a sound/ }).waitFor();
  await page.goBack();
  await open(catalog);
  await said("kept in the place of version 2.");
  await page.getByRole("button", { name: "Undo" }).click();
  await said("version 2, stands in its place again.");
});

test("that is another under the same version is refused, and nothing is overwritten", async () => {
  await open(catalog);
  await said("is kept");
  await open({ ...catalog, nothingWrong: 0.2 });
  await page.getByText("small.json was not opened").waitFor();
  await page
    .getByText("where the catalog of this id and version that is here holds something else")
    .waitFor();
  await open(catalog);
  await said("already, to the letter");
});
