/** One line for each entry of a record, in plain words. */
import type { Catalog } from "../catalog/schema.js";
import { classOf, OWN } from "../ticket/setup.js";
import type { Entry, EntryOf, Ticket, Trial } from "../ticket/schema.js";

const CLEAN = "clean";
const LONGEST = 100;

/** What people wrote is cut where it is long: the record itself has it whole. */
const short = (text: string): string =>
  text.length > LONGEST ? `${text.slice(0, LONGEST - 1).trimEnd()}…` : text;

interface Named {
  id: string;
  name?: string | undefined;
}

/** Ids are distinct within their list only: a stage and a position may both be called "processor". */
const nameIn = (list: readonly Named[] | undefined, id: string): string =>
  list?.find((item) => item.id === id)?.name ?? id;

export class Words {
  constructor(
    readonly ticket: Ticket,
    readonly catalog: Catalog,
  ) {}

  entry(entry: Entry): string {
    const { findings, readings, repairs } = this.catalog;
    switch (entry.kind) {
      case "intake":
        return entry.complaint === undefined ? "taken in" : `taken in: ${short(entry.complaint)}`;
      case "starts":
        return this.#starts(entry);
      case "finding":
        return `${nameIn(findings, entry.finding)}${this.#on(entry.on)}: ${this.#value(entry)}`;
      case "reading":
        return `${nameIn(readings, entry.reading)}${this.#on(entry.on)}: ${entry.value}${this.#unit(entry)}`;
      case "change":
        return this.#change(entry);
      case "repair":
        return nameIn(repairs, entry.repair) + this.#on(entry.on);
      case "note":
        return `note: ${short(entry.text)}`;
      case "worksheet":
        return `worksheet: ${short(entry.expression)}`;
      case "release":
        return "released";
    }
  }

  #part(id: string): string {
    const part = this.ticket.machine.parts.find((p) => p.id === id);
    return part ? (part.name ?? nameIn(this.catalog.parts, part.kind)) : id;
  }

  #position = (id: string): string => nameIn(this.catalog.positions, id);

  #on(id: string | undefined): string {
    if (id === undefined) return "";
    const isPart = this.ticket.machine.parts.some((p) => p.id === id);
    return `, ${isPart ? this.#part(id) : this.#position(id)}`;
  }

  #starts(entry: EntryOf<"starts">): string {
    const counts = new Map<string, number>();
    for (const trial of entry.trials) {
      if (trial.voided !== undefined) continue;
      const outcome = this.#outcome(trial.outcome);
      counts.set(outcome, (counts.get(outcome) ?? 0) + (trial.n ?? 1));
    }
    const told = entry.by === "owner" ? "the owner's count" : "starts";
    const conditions = Object.entries(entry.conditions ?? {}).map(([id, value]) =>
      this.#condition(id, value),
    );
    const said = [...counts].map(([outcome, n]) => `${n} × ${outcome}`).join(", ");
    return `${[told, ...conditions].join(", ")}: ${said || "none that counts"}`;
  }

  #outcome(outcome: Trial["outcome"]): string {
    const { stages } = this.catalog;
    const ids = typeof outcome === "string" ? [outcome] : outcome;
    if (ids.length > 1 && ids.length === stages.length && !ids.includes(CLEAN)) return "stopped somewhere";
    return ids.map((id) => nameIn(stages, id).toLowerCase()).join(" or ");
  }

  #condition(id: string, value: string | number): string {
    const condition = this.catalog.conditions?.find((c) => c.id === id);
    if (!condition) return `${id} ${value}`;
    const name = nameIn(
      condition.classes,
      typeof value === "number" ? classOf(condition, value) : value,
    ).toLowerCase();
    return typeof value === "number" ? `${name} (${value} min)` : name;
  }

  #change({ fit = {}, settings = {}, in: place }: EntryOf<"change">): string {
    const machine = place === OWN ? "its own machine" : nameIn(this.ticket.machine.donors, place ?? "");
    const moved = Object.entries(fit).map(([position, part]) =>
      part === null
        ? `${this.#position(position)} emptied`
        : `${this.#part(part)} into ${this.#position(position)}`,
    );
    const set = Object.entries(settings).map(([id, value]) => {
      const setting = this.catalog.settings?.find((s) => s.id === id);
      return `${setting?.name ?? id}: ${nameIn(setting?.values, value)}`;
    });
    return (
      [...(place === undefined ? [] : [`in ${machine}`]), ...moved, ...set].join("; ") || "nothing moved"
    );
  }

  #value({ finding, value }: EntryOf<"finding">): string {
    const values = this.catalog.findings?.find((f) => f.id === finding)?.values;
    return nameIn(values, value).toLowerCase();
  }

  #unit({ reading, value }: EntryOf<"reading">): string {
    if (typeof value === "string") return "";
    const unit = this.catalog.readings?.find((r) => r.id === reading)?.unit;
    return unit === undefined ? "" : ` ${unit}`;
  }
}
