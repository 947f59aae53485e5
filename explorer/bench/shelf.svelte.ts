/** All tickets of this browser, and which page is open. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue, Weighing } from "../../engine/weighing.js";
import { catalogOf, CATALOGS, EXAMPLES } from "../store/catalogs.js";
import type { StoredTicket, Summary } from "../store/database.js";
import * as database from "../store/tickets.js";
import { Engine } from "../store/engine.js";
import { readJson } from "../store/files.js";
import type { ParseAnswer } from "../store/messages.js";
import { Bench, type Desk } from "./bench.svelte.js";
import { suspectRows } from "../charts/rows.js";
import { isPage } from "../pages.js";
import { freshId } from "./ticket-edits.js";

const now = () => new Date().toISOString();

/** The two or three suspects that the list of tickets names. */
function summaryOf(weighing: Weighing | null): Summary | null {
  if (!weighing) return null;
  const leading = suspectRows(weighing, "present", 2).filter((row) => row.p >= 0.05);
  return {
    leading: leading.map(({ name, group, p }) => ({ name, group, p })),
    next: weighing.next?.tests[0]?.title ?? null,
  };
}

export class Shelf {
  readonly catalogs = CATALOGS;
  readonly examples = EXAMPLES;
  tickets: StoredTicket[] = $state.raw([]);
  state: "loading" | "ready" | "failed" = $state("loading");
  failure: string | null = $state(null);
  /** `list`, `new`, `ticket`, or one of PAGES */
  page: string = $state("list");
  /** what follows the page in the address, `#/page/this/and/that` */
  rest: string[] = $state.raw([]);
  bench: Bench | null = $state.raw(null);
  /** a file that could not be opened, and why */
  refused: { name: string; issues: Issue[] } | null = $state.raw(null);
  /** the ticket last taken off the list, so that it can be put back */
  removed: StoredTicket | null = $state.raw(null);

  // Two workers: a press is weighed at once, however long the advice on the record before it still takes.
  #belief = new Engine();
  #advice = new Engine();
  #open: Bench[] = [];

  async load(): Promise<void> {
    try {
      this.tickets = await database.allTickets();
      const first = this.examples[0];
      if (this.tickets.length === 0 && first) await this.put(first);
      this.state = "ready";
      this.route();
    } catch (error) {
      this.state = "failed";
      this.failure = error instanceof Error ? error.message : String(error);
    }
  }

  /** The page that the address names; no address: the ticket worked on last. */
  route(): void {
    const [page, ...rest] = location.hash.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
    const [id] = rest;
    const stored =
      page === "ticket" ? this.tickets.find((t) => t.id === id) : page === "" ? this.tickets[0] : undefined;
    this.rest = rest;
    this.page = stored ? "ticket" : page === "new" || isPage(page) ? page! : "list";
    if (stored) this.open(stored.ticket);
  }

  /** A ticket that was open before comes back as it was left, undo and all. */
  open(ticket: Ticket): void {
    const catalog = catalogOf(ticket);
    const known = this.#open.find((bench) => bench.ticket.id === ticket.id);
    if (known && known.advising !== "done") void known.weigh(); // another ticket may have overtaken it
    if (!known && catalog) this.#open.push(new Bench(ticket, catalog, this.#desk()));
    this.bench = known ?? (catalog && this.#open.at(-1)!);
    if (!catalog) this.refused = { name: ticket.title, issues: [unknownCatalog(ticket)] };
    this.page = catalog ? "ticket" : "list";
  }

  /** Opens a file. What cannot be opened is said, and nothing on the shelf changes. */
  async openFile(name: string, text: string): Promise<void> {
    this.refused = null;
    const engine = new Engine(); // of its own, so that no press overtakes it
    try {
      const answer = await readTicket(engine, text);
      if ("issues" in answer) this.refused = { name, issues: answer.issues };
      else await this.bring(answer.ticket);
    } catch (error) {
      const found = error instanceof Error ? error.message : String(error);
      const expected = "an engine that can read it";
      this.refused = { name, issues: [{ path: "file", found, expected, message: `file: found ${found}` }] };
    } finally {
      engine.close();
    }
  }

  /** Lays a ticket on the bench and opens it; one that has the id of another ticket gets an id of its own. */
  async bring(ticket: Ticket): Promise<void> {
    const same = this.tickets.find((t) => t.id === ticket.id);
    const known = same && JSON.stringify(same.ticket) === JSON.stringify(ticket);
    const id = same && !known ? this.freshTicketId(`${ticket.id.slice(0, 50)}-`) : ticket.id;
    if (!known) await this.put({ ...ticket, id });
    location.hash = `#/ticket/${id}`;
    this.route();
  }

  freshTicketId(stem = "ticket-"): string {
    return freshId(
      this.tickets.map((t) => t.id),
      stem,
    );
  }

  async remove(id: string): Promise<void> {
    this.removed = this.tickets.find((t) => t.id === id) ?? null;
    await database.deleteTicket(id);
    this.tickets = this.tickets.filter((t) => t.id !== id);
    this.#open = this.#open.filter((bench) => bench.ticket.id !== id);
  }

  async putBack(): Promise<void> {
    if (this.removed) await this.put(this.removed.ticket, this.removed.summary);
    this.removed = null;
  }

  async put(ticket: Ticket, summary: Summary | null = null): Promise<void> {
    const stored = { id: ticket.id, ticket, savedAt: now(), summary, revision: 1 };
    this.tickets = [stored, ...this.tickets.filter((t) => t.id !== ticket.id)];
    await database.putTicket(ticket, stored.savedAt, summary);
  }

  #desk(): Desk {
    const weigh = (engine: Engine, advice: boolean) => (catalog: Catalog, ticket: Ticket) =>
      engine.weigh(catalog, ticket, advice);
    return {
      // a late answer must not bring back what was taken off the bench
      save: async (ticket, weighing) => {
        if (this.tickets.some((t) => t.id === ticket.id)) await this.put(ticket, summaryOf(weighing));
      },
      weigh: weigh(this.#belief, false),
      advise: weigh(this.#advice, true),
      now,
    };
  }
}

/** A ticket that can be weighed, or everything that is wrong with the text. */
async function readTicket(engine: Engine, text: string): Promise<ParseAnswer> {
  const read = readJson(text);
  if ("issues" in read) return read;
  const parsed = (await engine.parse(read.data)) ?? { issues: [] };
  if ("issues" in parsed) return parsed;
  const catalog = catalogOf(parsed.ticket);
  if (!catalog) return { issues: [unknownCatalog(parsed.ticket)] };
  const weighed = await engine.weigh(catalog, parsed.ticket, false);
  return weighed && "issues" in weighed ? weighed : parsed;
}

function unknownCatalog(ticket: Ticket): Issue {
  const found = JSON.stringify(ticket.catalog);
  const expected = `one of ${CATALOGS.map((c) => c.id).join(", ") || "the catalogs (there are none)"}`;
  return { path: "catalog", found, expected, message: `catalog: found ${found}, expected ${expected}` };
}
