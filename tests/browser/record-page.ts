/** The record half of the ticket page as somebody uses it. */
import { readFileSync } from "node:fs";
import type { Locator, Page } from "playwright-core";
import type { Ticket } from "../../engine/ticket/schema.js";
import { TicketPage } from "./ticket-page.js";

export class RecordPage extends TicketPage {
  readonly dialog: Locator;

  constructor(override readonly page: Page) {
    super(page);
    this.dialog = page.getByRole("dialog");
  }

  /** Opens a ticket as a file would be opened, once the page is there. */
  async open(url: string, ticket: Ticket): Promise<void> {
    await this.page.goto(`${url}#/list`);
    await this.page.getByLabel("Open a file").setInputFiles({
      name: "ticket.json",
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify(ticket)),
    });
    await this.record.waitFor();
  }

  entry = (n: number): Locator => this.record.locator("[data-entry]").nth(n - 1);
  write = (what: string): Promise<void> =>
    this.record.getByRole("button", { name: what, exact: true }).click();
  confirm = (name = "Write it down"): Promise<void> => this.dialog.getByRole("button", { name }).click();

  /** The record as a file would hold it. */
  async now(): Promise<Ticket> {
    return JSON.parse(readFileSync(await this.saved(), "utf8")) as Ticket;
  }
}
