/** One line for each entry of a record, in plain words. */
import type { Catalog } from "../catalog/schema.js";
import { classOf } from "../ticket/setup.js";
import type { Entry, EntryOf, Ticket, Trial } from "../ticket/schema.js";

const LONGEST = 110;

export class Words {
  readonly #names: Map<string, string>;

  /** Ids of parts, positions, stages … are distinct in practice; where two share one, the ticket's own name wins. */
  constructor(
    readonly ticket: Ticket,
    readonly catalog: Catalog,
  ) {
    const { settings = [], findings = [], readings = [], repairs = [] } = catalog;
    const kinds = new Map(catalog.parts.map((kind) => [kind.id, kind.name]));
    const listed = [
      ...catalog.stages,
      ...settings,
      ...findings,
      ...readings,
      ...repairs,
      ...catalog.positions,
    ];
    this.#names = new Map([
      ...listed.map(({ id, name }): [string, string] => [id, name]),
      ...ticket.machine.parts.map(({ id, kind, name }): [string, string] => [
        id,
        name ?? kinds.get(kind) ?? id,
      ]),
      ...(ticket.machine.donors ?? []).map(({ id, name }): [string, string] => [id, name ?? id]),
      ["clean", "clean"],
      ["own", "its own machine"],
    ]);
  }

  name = (id: string): string => this.#names.get(id) ?? id;

  /** Long texts of people are cut: the record itself has them whole. */
  entry(entry: Entry): string {
    const text = this.#entry(entry);
    return text.length > LONGEST ? `${text.slice(0, LONGEST - 1).trimEnd()}…` : text;
  }

  #entry(entry: Entry): string {
    switch (entry.kind) {
      case "intake":
        return `taken in${entry.complaint === undefined ? "" : `: ${entry.complaint}`}`;
      case "starts":
        return this.#starts(entry);
      case "finding":
        return `${this.#made(entry.finding, entry.on)}: ${this.#value(entry)}`;
      case "reading":
        return `${this.#made(entry.reading, entry.on)}: ${entry.value}${this.#unit(entry)}`;
      case "change":
        return this.#change(entry);
      case "repair":
        return this.#made(entry.repair, entry.on);
      case "note":
        return `note: ${entry.text}`;
      case "worksheet":
        return `worksheet: ${entry.expression}`;
      case "release":
        return "released";
    }
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
    const ids = typeof outcome === "string" ? [outcome] : outcome;
    const stopped = ids.length === this.catalog.stages.length && !ids.includes("clean");
    return stopped && ids.length > 1
      ? "stopped somewhere"
      : ids.map((id) => this.name(id).toLowerCase()).join(" or ");
  }

  #condition(id: string, value: string | number): string {
    const condition = this.catalog.conditions?.find((c) => c.id === id);
    if (!condition) return `${id} ${value}`;
    const named = typeof value === "number" ? classOf(condition, value) : value;
    const name = (condition.classes.find((c) => c.id === named)?.name ?? named).toLowerCase();
    return typeof value === "number" ? `${name} (${value} min)` : name;
  }

  #change({ fit = {}, settings = {}, in: place }: EntryOf<"change">): string {
    const moved = Object.entries(fit).map(([position, part]) =>
      part === null ? `${this.name(position)} emptied` : `${this.name(part)} into ${this.name(position)}`,
    );
    const set = Object.entries(settings).map(([id, value]) => {
      const values = this.catalog.settings?.find((s) => s.id === id)?.values;
      return `${this.name(id)}: ${values?.find((v) => v.id === value)?.name ?? value}`;
    });
    return (
      [...(place === undefined ? [] : [`in ${this.name(place)}`]), ...moved, ...set].join("; ") ||
      "nothing moved"
    );
  }

  #made = (id: string, on: string | undefined): string =>
    this.name(id) + (on === undefined ? "" : `, ${this.name(on)}`);

  #value({ finding, value }: EntryOf<"finding">): string {
    const values = this.catalog.findings?.find((f) => f.id === finding)?.values;
    return (values?.find((v) => v.id === value)?.name ?? value).toLowerCase();
  }

  #unit({ reading, value }: EntryOf<"reading">): string {
    if (typeof value === "string") return "";
    const unit = this.catalog.readings?.find((r) => r.id === reading)?.unit;
    return unit === undefined ? "" : ` ${unit}`;
  }
}
