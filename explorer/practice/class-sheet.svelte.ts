/** The class sheet: record files in, each opened by the machine it is of, then judged. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import { setupsThrough, Words } from "../bench/words.js";
import { catalogOf } from "../store/catalogs.js";
import { Engine } from "../store/engine.js";
import { readJson } from "../store/files.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Collected } from "./class-set.js";
import type { Ask } from "./client.js";

/** What the sheet needs of the shelf. */
interface Source {
  catalogs: readonly Catalog[];
  machines: Ask;
}

export class ClassSheet {
  rows: Collected[] = $state.raw([]);
  busy: string | null = $state(null);

  constructor(private readonly source: Source) {}

  /** A file of the same name takes the place of the one before. */
  async add(file: string, text: string): Promise<void> {
    this.busy = `Reading ${file} …`;
    const empty: Collected = { file, by: "", machine: 0, result: null, lost: null, issues: [] };
    try {
      const ticket = await readRecord(text);
      if ("issues" in ticket) return this.#put({ ...empty, issues: ticket.issues });
      const { practice } = ticket.ticket;
      const named = { ...empty, by: practice?.by ?? "", machine: practice?.seed ?? 0 };
      const opened = await this.source.machines({ ask: "open", ticket: ticket.ticket });
      if ("issues" in opened) return this.#put({ ...named, issues: opened.issues });
      this.#put({ ...named, result: opened.envelope });
      const found = await this.source.machines({ ask: "moments", ticket: ticket.ticket });
      const lost = "moments" in found ? this.#headed(ticket.ticket, found.moments) : [];
      this.#put({ ...named, result: opened.envelope, lost });
    } catch (error) {
      const found = error instanceof Error ? error.message : String(error);
      const path = "file";
      const expected = "a record that can be opened";
      this.#put({
        ...empty,
        issues: [{ path, found, expected, message: `file: found ${found}, expected ${expected}` }],
      });
    } finally {
      this.busy = null;
    }
  }

  #put(row: Collected): void {
    const others = this.rows.filter((r) => r.file !== row.file);
    this.rows = [...others, row].sort((x, y) => x.by.localeCompare(y.by, "en") || x.machine - y.machine);
  }

  #headed<M extends { entry: string }>(ticket: Ticket, moments: readonly M[]): (M & { heading: string })[] {
    const catalog = catalogOf(ticket, this.source.catalogs)!;
    const words = new Words(catalog, ticket);
    const { at } = setupsThrough(catalog, ticket);
    return moments.map((moment) => {
      const k = ticket.entries.findIndex((entry) => entry.id === moment.entry);
      return { ...moment, heading: k < 0 ? moment.entry : words.heading(ticket.entries[k]!, at[k]!) };
    });
  }
}

async function readRecord(text: string): Promise<{ ticket: Ticket } | { issues: Issue[] }> {
  const read = readJson(text);
  if ("issues" in read) return read;
  const engine = new Engine();
  try {
    return (await engine.parse(read.data)) ?? { issues: [] };
  } finally {
    engine.close();
  }
}
