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

  async add(file: string, text: string): Promise<void> {
    this.busy = `Reading ${file} …`;
    let row: Collected = {
      key: this.#added++,
      file,
      by: "",
      deal: null,
      done: "",
      result: null,
      lost: null,
      issues: [],
    };
    const put = (more: Partial<Collected>) => this.#put((row = { ...row, ...more }));
    try {
      const read = await this.read(text);
      if ("issues" in read) return put(read);
      const { ticket } = read;
      row = { ...row, by: ticket.practice?.by ?? "", deal: dealOfTicket(ticket), done: doneIn(ticket) };
      const opened = await this.source.machines({ ask: "open", ticket });
      if ("issues" in opened) return put(opened);
      put({ result: opened.envelope });
      const found = await this.source.machines({ ask: "moments", ticket });
      // taken off meanwhile
      if (this.rows.some(({ key }) => key === row.key))
        put({ lost: "moments" in found ? this.#headed(ticket, found.moments) : [] });
    } catch (error) {
      const found = error instanceof Error ? error.message : String(error);
      put({ issues: [issue("file", found, "a record that can be opened")] });
    } finally {
      this.busy = null;
    }
  }

  takeOff(key: number): void {
    this.rows = this.rows.filter((row) => row.key !== key);
  }

  #put(row: Collected): void {
    const machine = ({ deal }: Collected) => deal?.seed ?? -1;
    const others = this.rows.filter(({ key }) => key !== row.key);
    this.rows = [...others, row].sort(
      (x, y) => x.by.localeCompare(y.by, "en") || machine(x) - machine(y) || x.key - y.key,
    );
  }

  #headed(ticket: Ticket, moments: readonly Moment[]): Lost[] {
    const catalog = catalogOf(ticket, this.source.catalogs)!;
    const words = new Words(catalog, ticket);
    const { at } = setupsThrough(catalog, ticket);
    return moments.map((moment) => ({ ...moment, heading: headingIn(ticket, words, at, moment.entry) }));
  }
}

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
