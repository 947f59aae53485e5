/** A ticket that weighs in no time, laid on the bench of a page as a file. */
import type { Page } from "playwright-core";
import type { Ticket } from "../../engine/ticket/schema.js";
import { catalog, ticket } from "../explorer/small.js";
import { TicketPage } from "./ticket-page.js";

export const smallTicket = (id: string): Ticket => ({ ...ticket, id, catalog });

/** Opens the ticket from a file, past the list, so that nothing large is weighed on the way. */
export async function layOnBench(page: Page, url: string, ticket: Ticket): Promise<TicketPage> {
  await page.goto(`${url}#/list`);
  const file = {
    name: `${ticket.id}.json`,
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(ticket)),
  };
  await page.getByLabel("Open a file").setInputFiles(file);
  const there = new TicketPage(page);
  await there.strip.waitFor();
  return there;
}
