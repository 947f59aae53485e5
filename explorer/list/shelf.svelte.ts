/** All tickets of this browser, and which page is open. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { issue } from "../../engine/issue.js";
import { isLines } from "../../engine/ticket/lines.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue, Weighing } from "../../engine/weighing.js";
import { catalogOf, CATALOGS, EXAMPLES } from "../store/catalogs.js";
import { inCurrency } from "../store/currency.js";
import type { StoredPhoto, StoredTicket, Summary } from "../store/database.js";
import { Engine } from "../store/engine.js";
import { isCatalog, readJson } from "../store/files.js";
import { keepPhotos } from "../store/photos.js";
import type { ParseAnswer } from "../store/messages.js";
import { deleteCatalog, ownCatalogs, putCatalog } from "../store/own-catalogs.js";
import { same as alike } from "../store/plain.js";
import { askToKeep } from "../store/room.js";
import { NO_SHOP, putShop, readShop, type Shop } from "../store/shop.js";
import * as database from "../store/tickets.js";
import { troubleOf } from "../store/trouble.js";
import { onOthers, tellOthers } from "../store/windows.js";
import { Bench, type Desk } from "../bench/bench.svelte.js";
import { suspectRows } from "../charts/rows.js";
import { isPage } from "../pages.js";
import { painted } from "../painted.js";
import { machines } from "../practice/client.js";
import { Practice } from "../practice/practice.svelte.js";
import { cameInWords, hereAlready, takenBackWords } from "./came-in.js";
import { useCurrency } from "../bench/format.js";
import { freshId } from "../bench/ticket-edits.js";

const now = () => new Date().toISOString();

/** The two or three suspects that the list of tickets names. */
function summaryOf(weighing: Weighing): Summary {
  const leading = suspectRows(weighing, "present", 2).filter((row) => row.p >= 0.05);
  return {
    leading: leading.map(({ name, group, p }) => ({ name, group, p })),
    next: weighing.next?.tests[0]?.title ?? null,
  };
}

function unknownAddress(page: string, id: string | undefined): Issue {
  const found = page === "ticket" ? `the ticket ${JSON.stringify(id ?? "")}` : JSON.stringify(page);
  const expected = "a page, or a ticket that is on the bench";
  return issue("address", found, expected);
}

/** Milliseconds without a press after which it is worked out whether the machine is fixed. */
const PAUSE = 1500;

export class Shelf {
  /** those that come with the program, then the shop's own */
  catalogs: readonly Catalog[] = $state.raw(CATALOGS);
  readonly examples = EXAMPLES;
  /** on the bench, and taken off it */
  #all: StoredTicket[] = $state.raw([]);
  tickets: StoredTicket[] = $derived(this.#all.filter((stored) => stored.takenOff === undefined));
  takenOff: StoredTicket[] = $derived(database.takenOffOf(this.#all));
  state: "loading" | "ready" | "failed" = $state("loading");
  failure: string | null = $state(null);
  /** what holds for every new ticket */
  shop: Shop = $state.raw(NO_SHOP);
  /** false: the browser has no database for the page, and nothing outlives it */
  keeps = $state(true);
  /** `list`, `new`, `ticket`, or one of PAGES */
  page: string = $state("list");
  /** what follows the page in the address, `#/page/this/and/that` */
  rest: string[] = $state.raw([]);
  bench: Bench | null = $state.raw(null);
  /** id of the ticket that the page is about, if it is about one */
  #about: string | null = null;
  /** a file that could not be opened, and why */
  refused: { name: string; issues: Issue[] } | null = $state.raw(null);
  /** the file that is being read */
  opening: string | null = $state(null);
  /** the ticket that this window took off last, so that it can be put back at once */
  removed: StoredTicket | null = $derived(this.takenOff.find(({ id }) => id === this.#removedId) ?? null);
  #removedId: string | null = $state(null);
  /** what came of taking a ticket off or putting it back, where the list does not show it */
  told = $state("");
  /** the catalog that was opened last, and what stood in its place, until another page is looked at */
  cameIn: { catalog: Catalog; here: Catalog | null; words: string } | null = $state.raw(null);

  // Two workers: a press is weighed at once, however long the advice on the record before it still takes.
  #belief = new Engine();
  #advice = new Engine();
  #open: Bench[] = [];
  /** the practice machines, whose truths the page does not know */
  readonly machines = machines(() => this.catalogs);
  #askedToKeep = false;

  async load(): Promise<void> {
    try {
      await this.refresh();
      const first = this.examples[0];
      if (this.#all.length === 0 && first) await this.put(first);
      this.state = "ready";
      onOthers((id) => void this.#heard(id));
      this.route();
    } catch (error) {
      this.state = "failed";
      this.failure = troubleOf(error);
    }
  }

  /** For a browser that has no database to give: everything works, and is lost with the window. */
  workUnkept(): void {
    this.keeps = false;
    this.#all = this.examples.slice(0, 1).map((ticket) => this.#unstored(ticket));
    this.state = "ready";
    this.route();
  }

  /** Reads anew what the database holds. */
  async refresh(): Promise<void> {
    if (!this.keeps) return;
    this.#all = await database.allTickets(this.#all);
    this.catalogs = [...CATALOGS, ...(await ownCatalogs())];
    this.shop = await readShop();
    this.#countMoney();
  }

  /** It holds at once, so that what is changed next is changed beside it. */
  async setShop(shop: Shop): Promise<void> {
    this.shop = shop;
    this.#countMoney();
    if (this.keeps) await putShop(shop);
  }

  /** A ticket's money is in what the ticket says, whatever the shop counts in by now. */
  #countMoney(): void {
    const about = this.#all.find(({ id }) => id === this.#about);
    useCurrency(about ? (about.ticket.currency ?? null) : this.shop.currency);
  }

  /** The page that the address names; no address: the ticket worked on last. */
  route(): void {
    const [page, ...rest] = location.hash.replace(/^#\/?/, "").split("/").map(decoded);
    const [id] = rest;
    const stored =
      page === "ticket" ? this.tickets.find((t) => t.id === id) : page === "" ? this.tickets[0] : undefined;
    this.rest = rest;
    this.#about = stored?.id ?? id ?? null;
    this.#countMoney();
    this.refused = null; // what was said belongs to the page before
    this.told = "";
    this.cameIn = null;
    const isKnown = ["", "list", "new"].includes(page!) || isPage(page);
    this.page = stored ? "ticket" : isKnown && page !== "" ? page! : "list";
    if (stored) void this.open(stored.ticket);
    else if (!isKnown) this.refused = { name: "The address", issues: [unknownAddress(page!, id)] };
  }

  /** A ticket that was open before comes back as it was left. */
  async open(ticket: Ticket): Promise<void> {
    const catalog = catalogOf(ticket, this.catalogs);
    this.page = catalog ? "ticket" : "list";
    if (!catalog) this.refused = { name: ticket.title, issues: [this.#unknownCatalog(ticket)] };
    this.bench = this.#open.find((bench) => bench.ticket.id === ticket.id) ?? null;
    if (catalog) this.bench = await this.benchOf(ticket, catalog);
  }

  /** The one bench of a ticket, as it was left. */
  async benchOf(ticket: Ticket, catalog: Catalog): Promise<Bench> {
    await Promise.resolve(); // asked for while a page is being drawn, which may change no state
    // of another version of the catalog it is kept only as long as it holds what is not saved
    const open = () =>
      this.#open.find(
        (bench) =>
          bench.ticket.id === ticket.id && (alike(bench.catalog, catalog) || bench.saved !== bench.ticket),
      );
    const known = open();
    if (known && known.proving !== "done") void known.weigh(); // another ticket may have overtaken it
    if (known) return known;
    const kept = this.keeps ? await database.keptTicket(ticket.id) : null;
    const meanwhile = open(); // asked for twice
    if (meanwhile) return meanwhile;
    const bench = new Bench(kept?.stored.ticket ?? ticket, catalog, this.#desk(), kept ?? undefined);
    if (bench.ticket.practice) bench.practice = new Practice(bench, this.machines);
    this.#open = [...this.#open.filter((other) => other.ticket.id !== bench.ticket.id), bench];
    return bench;
  }

  /** Opens a ticket or a catalog. What cannot be opened is said, and nothing here changes. */
  async openFile(name: string, file: Blob): Promise<void> {
    this.refused = null;
    this.opening = name;
    try {
      const text = await file.text();
      const read = readJson(text);
      if ("data" in read && isCatalog(read.data)) await this.#openCatalog(name, read.data);
      else await this.#openTicket(name, file, text);
    } finally {
      this.opening = null;
    }
  }

  /** Keeps it among the kinds of machine, and says on the list what came of it. */
  async #openCatalog(name: string, data: unknown): Promise<void> {
    const { readCatalog } = await import("../store/catalog-file.js");
    await this.refresh(); // another window may have kept one
    const own = this.catalogs.slice(CATALOGS.length);
    const read = readCatalog(data, { fixed: CATALOGS, own });
    if ("issues" in read) return void (this.refused = { name, issues: read.issues });
    const { catalog, here } = read;
    if (location.hash !== "#/list") history.pushState(null, "", "#/list");
    this.route();
    if (here && alike(here, catalog)) return void (this.told = hereAlready(catalog));
    const tickets = this.tickets.map(({ ticket }) => ticket);
    await this.#told(catalog.id, async () => {
      await this.#keepCatalog(catalog.id, catalog);
      this.cameIn = { catalog, here, words: cameInWords(catalog, here, tickets) };
      return "";
    });
  }

  /** What stood in the place of the catalog opened last stands there again. */
  async takeCatalogBack(): Promise<void> {
    const { catalog, here } = this.cameIn!;
    await this.#told(catalog.id, async () => {
      await this.#keepCatalog(catalog.id, here);
      this.cameIn = null;
      return takenBackWords(catalog, here);
    });
  }

  /** @param catalog  null: none has that id any more */
  async #keepCatalog(id: string, catalog: Catalog | null): Promise<void> {
    if (this.keeps) return catalog ? putCatalog(catalog) : deleteCatalog(id);
    this.catalogs = [...this.catalogs.filter((known) => known.id !== id), ...(catalog ? [catalog] : [])];
  }

  /** With its photographs where it has any. */
  async #openTicket(name: string, file: Blob, text: string): Promise<void> {
    const engine = new Engine(); // of its own, so that no press overtakes it
    try {
      const answer = await this.#read(engine, text);
      const came = isLines(text) ? await (await import("../store/backup.js")).readBackup(file) : null;
      const issues = "issues" in answer ? answer.issues : (came?.issues ?? []);
      if ("issues" in answer || issues.length > 0) this.refused = { name, issues };
      else await this.bring(came?.backup.tickets[0]?.ticket ?? answer.ticket, came?.backup.photos);
    } catch (error) {
      const found = error instanceof Error ? error.message : String(error);
      this.refused = { name, issues: [issue("file", found, "an engine that can read it")] };
    } finally {
      engine.close();
    }
  }

  /** Lays a ticket on the bench and opens it; one that has the id of another ticket gets an id of its own. */
  async bring(ticket: Ticket, photos: readonly StoredPhoto[] = []): Promise<void> {
    await this.refresh(); // another window may have laid it here, or taken it off
    const same = this.#all.find((t) => t.id === ticket.id);
    // a file that states no currency is the ticket that was given one when it came
    const known = same && alike(same.ticket, inCurrency(ticket, same.ticket.currency));
    const id = same && !known ? this.freshTicketId(`${ticket.id.slice(0, 50)}-`) : ticket.id;
    if (this.keeps && photos.length > 0) await keepPhotos(id, photos);
    if (!known) await this.put({ ...ticket, id });
    else if (same.takenOff !== undefined) await this.putBack(id);
    location.hash = `#/ticket/${id}`;
    this.route();
  }

  freshTicketId(stem = "ticket-"): string {
    return freshId(
      this.#all.map((t) => t.id),
      stem,
    );
  }

  /** Off the bench, from where it can be put back as it is then. */
  async remove(id: string): Promise<void> {
    const takenOff = now();
    await this.#told(id, async () => {
      if (this.keeps) await database.takeOff(id, takenOff);
      else this.#all = this.#all.map((t) => (t.id === id ? { ...t, takenOff } : t));
      this.#removedId = id;
      return "";
    });
  }

  /** As it is by now: another window may have put it back before, and have gone on with it. */
  async putBack(id: string): Promise<void> {
    await this.#told(id, async () => {
      const title = this.#all.find((t) => t.id === id)?.ticket.title ?? id;
      if (this.keeps) return PUT_BACK[await database.putBack(id)](title);
      this.#all = this.#all.map(({ takenOff, ...t }) => (t.id === id || !takenOff ? t : { ...t, takenOff }));
      return "";
    });
  }

  async deleteForGood(id: string): Promise<void> {
    await this.#told(id, async () => {
      if (this.keeps) await database.deleteForGood(id);
      else this.#all = this.#all.filter((t) => t.id !== id);
      return "";
    });
  }

  /** Does something to a ticket, tells the other windows, and says here what came of it. */
  async #told(id: string, work: () => Promise<string>): Promise<void> {
    try {
      this.told = await work();
      tellOthers(id);
      await this.refresh();
    } catch (error) {
      this.told = `Nothing was changed: ${troubleOf(error)}.`;
    }
  }

  /** A ticket that was not on the bench; it is in the shop's currency unless it says what it is in. */
  async put(came: Ticket): Promise<void> {
    const ticket = inCurrency(came, this.shop.currency);
    this.#open = this.#open.filter((bench) => bench.ticket.id !== ticket.id); // of one that was deleted for good
    if (this.keeps) await database.saveTicket({ ticket, base: 0, steps: [], done: 0, from: 0 }, now());
    tellOthers(ticket.id);
    this.#show(this.#unstored(ticket));
  }

  /** Whether anything that was pressed is not on the disk yet. */
  get pending(): boolean {
    return this.#open.some((bench) => bench.saved !== bench.ticket);
  }

  /** Whether who leaves the page now loses something: what is not on the disk, or one of two versions that clash. */
  get unsettled(): boolean {
    return this.pending || this.#open.some((bench) => bench.clashes.length > 0);
  }

  /** A window that slept has heard nothing. */
  wake(): void {
    if (this.bench && this.keeps) void this.#heard(this.bench.ticket.id);
  }

  async #heard(id: string): Promise<void> {
    await this.refresh();
    const bench = this.#open.find((bench) => bench.ticket.id === id);
    const stored = this.#all.find((t) => t.id === id);
    if (!bench || stored?.ticket === bench.saved) return; // what is stored is what this window has saved
    const kept = await database.keptTicket(id);
    if (kept) bench.catchUp(kept);
  }

  #show(stored: StoredTicket): void {
    this.#all = [stored, ...this.#all.filter((t) => t.id !== stored.id)];
  }

  #unstored(ticket: Ticket): StoredTicket {
    return { id: ticket.id, ticket, savedAt: now(), summary: null, revision: 0, done: 0 };
  }

  #desk(): Desk {
    return {
      save: async (save) => {
        if (!this.keeps) throw new Error(UNKEPT);
        // what was pressed comes first, then the belief, where it was foreseen: copying a long record would hold both up
        await painted();
        await painted();
        const savedAt = now();
        const { id } = save.ticket;
        const answer = await database.saveTicket(save, savedAt);
        if ("theirs" in answer) return answer;
        const { takenOff: _, ...known } = this.#all.find((t) => t.id === id) ?? this.#unstored(save.ticket);
        if (!this.#askedToKeep) void askToKeep();
        this.#askedToKeep = true;
        this.#show({ ...known, ticket: save.ticket, savedAt, revision: answer.revision, done: save.done });
        tellOthers(id);
        return answer;
      },
      check: (ticket) => this.#aside((engine) => this.#read(engine, JSON.stringify(ticket))),
      look: (catalog, ticket) => this.#aside((engine) => engine.parse(ticket, catalog)),
      weighed: (ticket, revision, weighing) => void this.#summarise(ticket.id, revision, summaryOf(weighing)),
      weigh: async (catalog, ticket) => {
        const answer = this.#belief.weigh(catalog, ticket, "belief");
        await painted(); // what was pressed comes first
        return answer;
      },
      advise: (catalog, ticket) => this.#advice.advise(catalog, ticket),
      prove: (catalog, ticket) => this.#advice.weigh(catalog, ticket, "everything"),
      foresee: (catalog, ticket) => this.#belief.foresee(catalog, ticket),
      painted,
      pause: () => new Promise((resolve) => setTimeout(resolve, PAUSE)),
      now,
    };
  }

  async #summarise(id: string, revision: number | null, summary: Summary): Promise<void> {
    this.#all = this.#all.map((t) => (t.id === id ? { ...t, summary } : t));
    if (this.keeps && revision !== null)
      await database.putSummary(id, revision, summary).catch(() => undefined); // made anew next time
  }

  /** What is wrong, by an engine of its own, so that no press overtakes it. */
  async #aside(ask: (engine: Engine) => Promise<ParseAnswer | null>): Promise<Issue[]> {
    const engine = new Engine();
    try {
      const answer = await ask(engine);
      return answer && "issues" in answer ? answer.issues : [];
    } finally {
      engine.close();
    }
  }

  /** A ticket that can be weighed, or everything that is wrong with the text. */
  async #read(engine: Engine, text: string): Promise<ParseAnswer> {
    const read = readJson(text);
    if ("issues" in read) return read;
    const parsed = (await engine.parse(read.data)) ?? { issues: [] };
    if ("issues" in parsed) return parsed;
    const catalog = catalogOf(parsed.ticket, this.catalogs);
    if (!catalog) return { issues: [this.#unknownCatalog(parsed.ticket)] };
    const weighed = await engine.weigh(catalog, parsed.ticket, "belief");
    return weighed && "issues" in weighed ? weighed : parsed;
  }

  #unknownCatalog(ticket: Ticket): Issue {
    const found = JSON.stringify(ticket.catalog);
    const expected = `one of ${this.catalogs.map((c) => c.id).join(", ") || "the catalogs (there are none)"}`;
    return issue("catalog", found, expected);
  }
}

const UNKEPT = "there is no database for this page; save the ticket as a file before you close the window";

const PUT_BACK: Record<Awaited<ReturnType<typeof database.putBack>>, (title: string) => string> = {
  back: () => "",
  "there already": (title) => `“${title}” is on the bench again already, as it was left in another window.`,
  gone: (title) => `“${title}” has been deleted for good in another window.`,
};

/** A malformed address names nothing, and so leads to the list. */
function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
