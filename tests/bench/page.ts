/** How long a press takes on the page, in a browser whose processor is slowed down four times. */
import type { Browser, Page } from "playwright-core";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { serveExplorer } from "../browser/served.js";
import { launch } from "../browser/chromium.js";
import { layOnBench, smallTicket } from "../browser/small-ticket.js";
import { TicketPage } from "../browser/ticket-page.js";

const SLOWER = 4;
const PRESSES = 15;
const SIZES = [
  { width: 390, height: 844 },
  { width: 1280, height: 800 },
];
/** Milliseconds of rest before another press. */
const REST = 1500;

export interface Pressed {
  what: string;
  /** medians, milliseconds from the press: pending mark, mark on the disk, belief; each painted */
  pending: number;
  solid: number;
  belief: number;
  /** the longest that one press held the page up */
  held: number;
}

/** A ticket of so many entries: rows of three starts with a note behind each. */
function longTicket(entries: number): Ticket {
  const row = (n: number): Entry => ({
    kind: "starts",
    id: `s${n}`,
    trials: [{ outcome: "clean" }, { outcome: "memory" }, { outcome: "clean" }],
  });
  const note = (n: number): Entry => ({ kind: "note", id: `n${n}`, text: `Note ${n}: nothing was touched.` });
  const ticket = smallTicket("long");
  const more = Array.from({ length: entries - 1 }, (_, n) => (n % 2 === 0 ? row(n) : note(n)));
  return { ...ticket, entries: [...ticket.entries, ...more] };
}

interface Case {
  what: string;
  open: (page: Page) => Promise<TicketPage>;
  /** lets it be until the next press; on the page of the ticket */
  rest: (page: Page, ticket: TicketPage) => Promise<void>;
}

export async function presses(): Promise<Pressed[]> {
  const served = await serveExplorer();
  const browser = await launch();
  const laid = (ticket: Ticket) => (page: Page) => layOnBench(page, served.url, ticket);
  async function demo(page: Page) {
    await page.goto(served.url);
    return new TicketPage(page);
  }
  const cases: Case[] = [
    { what: "small catalog, 2 entries", open: laid(smallTicket("short")), rest: machineStarts },
    { what: "small catalog, 500 entries", open: laid(longTicket(500)), rest: machineStarts },
    { what: "catalog that ships, demo ticket", open: demo, rest: machineStarts },
    { what: "the same, a start that begins a row", open: demo, rest: takenBack },
    { what: "the same, as soon as the last is weighed", open: demo, rest: (_, ticket) => ticket.weighed() },
  ];
  try {
    const taken: Pressed[] = [];
    for (const size of SIZES) for (const one of cases) taken.push(await measured(browser, one, size));
    return taken;
  } finally {
    await browser.close();
    await served.close();
  }
}

/** Until all is said: on this page, so slowed down, that is less than any machine takes to start. */
async function machineStarts(page: Page, ticket: TicketPage): Promise<void> {
  await ticket.settled();
  await ticket.proved();
  await page.waitForTimeout(REST);
}

/** So that the next one begins a row as it did: the demo ticket ends with a note. */
async function takenBack(page: Page, ticket: TicketPage): Promise<void> {
  await machineStarts(page, ticket);
  await ticket.undo();
  await machineStarts(page, ticket);
}

async function measured(
  browser: Browser,
  { what, open, rest }: Case,
  viewport: (typeof SIZES)[number],
): Promise<Pressed> {
  const context = await browser.newContext({ viewport, serviceWorkers: "block" });
  const page = await context.newPage();
  const ticket = await open(page);
  await ticket.settled();
  await ticket.couldBe.scrollIntoViewIfNeeded(); // out of view its chart would not be drawn
  await ticket.proved();
  const session = await context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
  await ticket.couldBe.evaluate((region) => region.setAttribute("data-measured", "belief"));
  const runs: Omit<Pressed, "what">[] = [];
  for (let n = 0; n < PRESSES; n++) {
    runs.push(await page.evaluate<Omit<Pressed, "what">>(ONE_PRESS));
    await rest(page, ticket);
  }
  await context.close();
  const middle = (of: keyof Omit<Pressed, "what">) =>
    runs.map((run) => run[of]).sort((x, y) => x - y)[PRESSES >> 1]!;
  return {
    what: `${viewport.width} px, ${what}`,
    pending: middle("pending"),
    solid: middle("solid"),
    belief: middle("belief"),
    held: middle("held"),
  };
}

/**
 * Runs in the page: what each frame shows once it is painted, until the belief is there and the mark is solid. As text, so
 * that no compiler touches it.
 */
const ONE_PRESS = `(async () => {
  const couldBe = document.querySelector('[data-measured="belief"]');
  const strip = document.querySelector('[aria-label="Log a start"]');
  const button = [...strip.querySelectorAll("button")].find((b) => b.textContent.includes("clean start"));
  const list = document.querySelector('[aria-label="Record"] [role="list"]');
  const marks = () => [...list.lastElementChild.querySelectorAll(".tally svg")].at(-1)?.getAttribute("aria-label") ?? "";
  const frame = () => new Promise((resolve) => requestAnimationFrame(() => {
    const shown = { pending: marks().includes("not saved"), busy: couldBe.getAttribute("aria-busy") === "true" };
    // behind the frame, and before what the page does once it is painted
    scheduler.postTask(() => resolve({ at: performance.now(), ...shown }), { priority: "user-blocking" });
  }));
  let next = frame();
  const start = performance.now();
  button.click();
  const took = { held: performance.now() - start };
  while (took.belief === undefined || took.solid === undefined) {
    const { at, pending, busy } = await next;
    next = frame();
    if (pending) took.pending ??= at - start;
    else if (took.pending !== undefined) took.solid ??= at - start;
    if (took.pending !== undefined && !busy) took.belief ??= at - start;
  }
  return took;
})()`;
