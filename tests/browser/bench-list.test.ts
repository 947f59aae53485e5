/** The list of tickets, the intake and the shop: by what somebody sees and touches. */
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterEach, beforeEach, expect, test } from "vitest";
import { axe } from "./axe.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";
import { smallTicket } from "./small-ticket.js";
import { TicketPage } from "./ticket-page.js";

const { served, browser } = await openExplorer();
let visit: Visit;
let page: Page;

beforeEach(async () => {
  visit = await Visit.begin(browser, {
    viewport: { width: 390, height: 844 },
    hasTouch: true,
  });
  page = visit.page;
});
afterEach(async () => {
  await visit.end();
  expect([visit.errors, visit.strays]).toEqual([[], []]);
});

test("a machine is taken in by touch alone, in fewer than a dozen touches", async () => {
  await page.goto(`${served.url}#/list`);
  let touches = 0;
  const tap = async (role: "button" | "link" | "checkbox", name: string) => {
    touches++;
    await page.getByRole(role, { name, exact: true }).tap();
  };
  await tap("link", "New ticket");
  await tap("button", "8");
  await tap("button", "Nothing at all");
  await tap("checkbox", "The owner can say how often");
  await tap("button", "Power supply");
  await tap("button", "Memory module");
  await tap("button", "Take it in");
  const ticket = new TicketPage(page);
  await ticket.strip.waitFor();
  expect(await ticket.title()).toContain("Desktop computer");
  await ticket.record.getByText("Sometimes: nothing at all.").waitFor();
  await page.getByRole("button", { name: /Spare memory module/ }).waitFor();
  expect(touches).toBeLessThan(12);
});

test("the bench sorts by what can be done now, and finds by any word", async () => {
  const [first] = smallTicket("x").entries;
  const tickets = [
    { ...smallTicket("open"), title: "Weather mast" },
    {
      ...smallTicket("waits"),
      title: "Ferry kiosk",
      parked: { for: "part", since: "2030-01-02T08:00:00.000Z" },
    },
    { ...smallTicket("done"), title: "Boathouse till", entries: [first, { kind: "release", id: "e2" }] },
  ];
  await page.goto(`${served.url}#/shop`);
  const head = { format: "fitful/backup@1", made: "", holds: { tickets: 3, catalogs: 0, photos: 0 } };
  const lines = [head, ...tickets.map((ticket) => ({ kind: "ticket", ticket, savedAt: "2030-01-02" }))];
  await page.getByLabel("Restore from such a file").setInputFiles({
    name: "all.jsonl",
    mimeType: "application/json",
    buffer: Buffer.from(lines.map((line) => JSON.stringify(line)).join("\n")),
  });
  await page.getByText("Restored: 3 tickets.").waitFor();
  await page.goto(`${served.url}#/list`);
  const section = (name: string) => page.getByRole("region", { name: new RegExp(`^${name}`) });
  await section("In work").getByText("Weather mast").waitFor();
  await section("Waiting").getByText("Waits for a part to come").waitFor();
  await section("Closed").getByText("Boathouse till").waitFor();
  await page.getByLabel("Find a ticket").fill("mornings ferry");
  expect(await page.getByRole("heading", { level: 2, name: /mast|kiosk|till/ }).allTextContents()).toEqual([
    "Ferry kiosk",
  ]);
});

test("what the shop sets holds for the next ticket", async () => {
  await page.goto(`${served.url}#/shop`);
  await page.getByLabel("Currency").selectOption("NZD");
  await page.getByLabel("Labour for an hour").fill("75");
  await page.getByLabel("Starts a day at the owner's").fill("4");
  await page.getByLabel("Chance of a comeback you will take").fill("10");
  await page.keyboard.press("Tab");
  await page.getByText("Saved.").waitFor();
  await page.getByLabel("Labour for an hour").fill("-3");
  await page.keyboard.press("Tab");
  await page.getByRole("region", { name: "Issues" }).getByText("Labour for an hour").waitFor();
  await page.goto(`${served.url}#/new`);
  await page.getByRole("button", { name: "Take it in" }).tap();
  const ticket = new TicketPage(page);
  await ticket.strip.waitFor();
  expect(JSON.parse(readFileSync(await ticket.saved(), "utf8"))).toMatchObject({
    labourPerHour: 75,
    release: {
      limit: 0.1,
      perDay: [
        { conditions: { rest: "cold" }, perDay: 2 },
        { conditions: { rest: "warm" }, perDay: 2 },
      ],
    },
  });
});

test("the shop's figures are read with a comma or a point, and are shown as they were typed", async () => {
  await page.goto(`${served.url}#/shop`);
  const [labour, limit] = [
    page.getByLabel("Labour for an hour"),
    page.getByLabel("Chance of a comeback you will take"),
  ];
  const type = async (field: typeof labour, text: string) => {
    await field.fill(text);
    await field.press("Tab");
  };
  await type(labour, "42,50");
  await page.getByText("Saved.").waitFor();
  expect(await labour.inputValue()).toBe("42.5");
  await type(limit, "7");
  await page.getByText("Saved.").waitFor();
  await page.reload();
  await expect.poll(() => limit.inputValue()).toBe("7");
  expect(await labour.inputValue()).toBe("42.5");
  await type(labour, "4.250,5");
  await page.getByRole("region", { name: "Issues" }).getByText("4.250,5").waitFor();
  expect(await page.getByText("Saved.").count()).toBe(0);
  await type(limit, "120 %");
  const refused = page.getByRole("row", { name: /^Chance of a comeback/ });
  await refused.getByText("120 %", { exact: true }).waitFor();
  await refused.getByText("a number from 0 to 100").waitFor();
  await page.reload();
  expect([await labour.inputValue(), await limit.inputValue()]).toEqual(["42.5", "7"]);
});

test("every field that was refused stays named and marked until it is right; what is right is saved meanwhile", async () => {
  await page.goto(`${served.url}#/shop`);
  const [labour, comeback, starts] = [
    page.getByLabel("Labour for an hour"),
    page.getByLabel("What a comeback costs the shop"),
    page.getByRole("textbox", { name: "Starts a day at the owner's", exact: true }),
  ];
  const type = async (field: typeof labour, text: string) => {
    await field.fill(text);
    await field.press("Tab");
  };
  const refused = async () => {
    const rows = await page.getByRole("region", { name: "Issues" }).locator("tbody td:first-child").all();
    return Promise.all(rows.map((row) => row.textContent()));
  };
  const marked = () =>
    Promise.all([labour, comeback, starts].map((field) => field.getAttribute("aria-invalid")));
  await type(starts, "two");
  await type(labour, "abc");
  await expect.poll(refused).toEqual(["Labour for an hour", "Starts a day at the owner's"]);
  await type(comeback, "20");
  await page.getByText("Saved. What is named below is left out.").waitFor();
  await page.getByRole("heading", { name: "Not saved" }).waitFor();
  expect([await refused(), await marked()]).toEqual([
    ["Labour for an hour", "Starts a day at the owner's"],
    ["true", "false", "true"],
  ]);
  expect([await labour.inputValue(), await comeback.inputValue()]).toEqual(["abc", "20"]);
  const described = await labour.getAttribute("aria-describedby");
  expect(await page.locator(`[id="${described}"]`).textContent()).toContain("expected a number such as");
  const { violations } = await axe(page).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((n) => n.html).join(" ")}`)).toEqual([]);
  await type(labour, "42,50");
  await expect.poll(refused).toEqual(["Starts a day at the owner's"]);
  await type(starts, "");
  await page.getByText("Saved.", { exact: true }).waitFor();
  expect([await page.getByRole("region", { name: "Issues" }).count(), await marked()]).toEqual([
    0,
    ["false", "false", "false"],
  ]);
  await page.reload();
  await expect.poll(() => labour.inputValue()).toBe("42.5");
  expect([await comeback.inputValue(), await starts.inputValue()]).toEqual(["20", ""]);
});

test.each(["light", "dark"] as const)(
  "axe finds nothing on these pages in %s, and none scrolls sideways",
  async (colorScheme) => {
    await page.emulateMedia({ colorScheme });
    for (const where of ["list", "new", "shop", "carry"]) {
      await page.goto(`${served.url}#/${where}`);
      await page.getByRole("heading", { level: 1 }).waitFor();
      const { violations } = await axe(page).analyze();
      expect(
        violations.map(({ id, nodes }) => `${where}: ${id}: ${nodes.map((n) => n.html).join(" ")}`),
      ).toEqual([]);
      const sideways = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect([where, sideways]).toEqual([where, 0]);
      if (process.env["FITFUL_PICTURES"])
        await page.screenshot({
          path: `${process.env["FITFUL_PICTURES"]}/${where}-${colorScheme}.png`,
          fullPage: true,
        });
    }
  },
);
