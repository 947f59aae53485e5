/** The class sheet: record files in, each opened by the machine it is of, then judged. */
import { dealOfTicket } from "../../engine/practice/deal.js";
import type { Moment } from "../../engine/practice/moments.js";
import { issue } from "../../engine/issue.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import { setupsThrough, Words } from "../bench/words.js";
import { catalogOf } from "../store/catalogs.js";
import { Engine } from "../store/engine.js";
import { readJson } from "../store/files.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { doneIn, type Collected, type Lost } from "./class-set.js";
import type { Ask } from "./client.js";
import { headingIn } from "./words.js";

/** What the sheet needs of the shelf. */
interface Source {
  catalogs: readonly Catalog[];
  machines: Ask;
}

/** A file that somebody handed in. */
interface Came {
  name: string;
  text: string;
}

interface Opened {
  row: Collected;
  ticket: Ticket;
}

type Read = { ticket: Ticket } | { issues: Issue[] };

export class ClassSheet {
  /** by trainee and machine */
  rows: readonly Collected[] = $state.raw([]);
  busy: string | null = $state(null);
  #added = 0;

  constructor(
    private readonly source: Source,
    private readonly read: (text: string) => Promise<Read> = readRecord,
  ) {}

  /** Every record is opened before the first is judged: judging one takes as long as opening them all. */
  async add(files: readonly Came[]): Promise<void> {
    const opened: Opened[] = [];
    for (const { name, text } of files) {
      this.busy = `Reading ${name} …`;
      const one = await this.#open(name, text);
      if (one) opened.push(one);
    }
    this.busy = null;
    for (const one of opened) await this.#judge(one);
  }

  async #open(file: string, text: string): Promise<Opened | null> {
    const key = this.#added++;
    let row: Collected = { key, file, by: "", deal: null, done: "", result: null, lost: null, issues: [] };
    const put = (more: Partial<Collected>) => this.#put((row = { ...row, ...more }));
    try {
      const read = await this.read(text);
      if ("issues" in read) return put(read);
      const { ticket } = read;
      row = { ...row, by: ticket.practice?.by ?? "", deal: dealOfTicket(ticket), done: doneIn(ticket) };
      const opened = await this.source.machines({ ask: "open", ticket });
      if ("issues" in opened) return put(opened);
      put({ result: opened.envelope });
      return { row, ticket };
    } catch (error) {
      return put({ issues: [notOpened(error)] });
    }
  }

  async #judge({ row, ticket }: Opened): Promise<void> {
    const isThere = () => this.rows.some(({ key }) => key === row.key);
    if (!isThere()) return; // taken off meanwhile
    try {
      const found = await this.source.machines({ ask: "moments", ticket });
      const lost = "moments" in found ? this.#headed(ticket, found.moments) : [];
      if (isThere()) this.#put({ ...row, lost });
    } catch (error) {
      this.#put({ ...row, issues: [notOpened(error)] });
    }
  }

  takeOff(key: number): void {
    this.rows = this.rows.filter((row) => row.key !== key);
  }

  #put(row: Collected): null {
    const machine = ({ deal }: Collected) => deal?.seed ?? -1;
    const others = this.rows.filter(({ key }) => key !== row.key);
    this.rows = [...others, row].sort(
      (x, y) => x.by.localeCompare(y.by, "en") || machine(x) - machine(y) || x.key - y.key,
    );
    return null;
  }

  #headed(ticket: Ticket, moments: readonly Moment[]): Lost[] {
    const catalog = catalogOf(ticket, this.source.catalogs)!;
    const words = new Words(catalog, ticket);
    const { at } = setupsThrough(catalog, ticket);
    return moments.map((moment) => ({ ...moment, heading: headingIn(ticket, words, at, moment.entry) }));
  }
}

const notOpened = (error: unknown): Issue =>
  issue("file", error instanceof Error ? error.message : String(error), "a record that can be opened");

async function readRecord(text: string): Promise<Read> {
  const read = readJson(text);
  if ("issues" in read) return read;
  const engine = new Engine();
  try {
    return (await engine.parse(read.data)) ?? { issues: [] };
  } finally {
    engine.close();
  }
}
