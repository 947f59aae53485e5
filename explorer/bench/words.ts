/** Plain words for what a record holds: parts, places, outcomes, setups, entries. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, EntryOf, Ticket, Trial } from "../../engine/ticket/schema.js";
import { changed, classOf, fittedNow, intakeSetup, OWN, type Setup } from "../../engine/ticket/setup.js";
import type { TestView } from "../../engine/weighing.js";
import { CLEAN, type Conditions } from "./ticket-edits.js";
import { inSentence, listed, sentence } from "./format.js";

/** A figure of the catalog, bare or with its source. */
export const plain = (figure: number | { value: number }): number =>
  typeof figure === "number" ? figure : figure.value;

/** What every sentence about a ticket needs. */
export class Words {
  readonly catalog: Catalog;
  readonly ticket: Pick<Ticket, "machine">;
  constructor(catalog: Catalog, ticket: Pick<Ticket, "machine">) {
    this.catalog = catalog;
    this.ticket = ticket;
  }

  part(id: string): string {
    const part = this.ticket.machine.parts.find((p) => p.id === id);
    return part?.name ?? this.catalog.parts.find((k) => k.id === part?.kind)?.name ?? id;
  }
  position(id: string): string {
    return this.catalog.positions.find((p) => p.id === id)?.name ?? id;
  }
  /** a part, a position or nothing: what was looked at */
  place(id: string | undefined | null): string {
    if (id === undefined || id === null) return "";
    return this.ticket.machine.parts.some((p) => p.id === id) ? this.part(id) : this.position(id);
  }
  outcome(outcome: Trial["outcome"]): string {
    if (Array.isArray(outcome)) return this.outcomes(outcome);
    if (outcome === CLEAN) return "clean";
    const stage = this.catalog.stages.find((s) => s.id === outcome);
    return stage?.short ?? stage?.name ?? outcome;
  }
  private outcomes(set: string[]): string {
    if (set.length === 1) return this.outcome(set[0]!);
    const stages = this.catalog.stages.map((s) => s.id);
    const stopped = set.length === stages.length && !set.includes(CLEAN);
    return stopped
      ? "stopped, not seen where"
      : listed(
          set.map((o) => this.outcome(o)),
          "or",
        );
  }
  /** the conditions that are not the usual ones; the first condition is always said */
  conditions(conditions: Conditions | undefined): string {
    const said = (this.catalog.conditions ?? []).flatMap((condition, i) => {
      const value = conditions?.[condition.id] ?? condition.default;
      const id = typeof value === "number" ? classOf(condition, value) : value;
      const name = (condition.classes.find((c) => c.id === id)?.name ?? id).toLowerCase();
      if (id === condition.default && i > 0) return [];
      return [typeof value === "number" ? `${name} (${value} min)` : name];
    });
    return said.join(", ");
  }
  setting(id: string, value: string): string {
    const setting = this.catalog.settings?.find((s) => s.id === id);
    const name = setting?.values.find((v) => v.id === value)?.name ?? value;
    return `${inSentence(setting?.name ?? id)}: ${inSentence(name)}`;
  }
  donor(id: string): string {
    return this.ticket.machine.donors?.find((d) => d.id === id)?.name ?? id;
  }

  /** what to look at or where to measure, in the catalog's words */
  ask(test: Pick<TestView, "finding" | "reading">): string {
    const look = this.catalog.findings?.find((f) => f.id === test.finding?.id);
    const measure = this.catalog.readings?.find((r) => r.id === test.reading?.id);
    return look?.ask ?? measure?.ask ?? "";
  }

  /** settings that are not as the machine came in */
  settingsChanged(setup: Setup): string[] {
    const came = intakeSetup(this).settings;
    return Object.entries(setup.settings).flatMap(([id, value]) =>
      came[id] === value ? [] : [this.setting(id, value)],
    );
  }

  /** how a setup differs from the machine as it came in */
  setup(setup: Setup): string {
    const intake = intakeSetup(this);
    const said = Object.entries(fittedNow(setup)).flatMap(([position, part]) => {
      if (setup.in === OWN && part === (intake.fit[position] ?? null)) return [];
      const place = inSentence(this.position(position));
      return [part === null ? `${place} empty` : `${inSentence(this.part(part))} in ${place}`];
    });
    said.push(...this.settingsChanged(setup));
    const where = setup.in === OWN ? "" : `in ${this.donor(setup.in)}`;
    return [where, ...said].filter((s) => s !== "").join(", ") || "as it came in";
  }

  change(entry: EntryOf<"change">): string {
    const said = Object.entries(entry.fit ?? {}).map(([position, part]) =>
      part === null
        ? `${inSentence(this.position(position))} emptied`
        : `${inSentence(this.part(part))} into ${inSentence(this.position(position))}`,
    );
    for (const [id, value] of Object.entries(entry.settings ?? {})) said.push(this.setting(id, value));
    if (entry.in !== undefined)
      said.unshift(entry.in === OWN ? "Back in its own machine" : `In ${this.donor(entry.in)}`);
    return sentence(said.join("; ")) || "Nothing moved";
  }

  /** an entry in a line that needs no setup: what was counted, or what is written */
  gist(entry: Entry): string {
    if (entry.kind === "note") return entry.text === "" ? "note" : entry.text.slice(0, 80);
    if (entry.kind !== "starts") return this.heading(entry, intakeSetup(this));
    const rows = tallyOf(entry, this.catalog).map((row) => `${row.n} ${this.outcome(row.outcome)}`);
    return `starts: ${rows.join(", ") || "none"}`;
  }

  /** the heading of an entry */
  heading(entry: Entry, setup: Setup): string {
    switch (entry.kind) {
      case "intake":
        return "Taken in";
      case "starts": {
        const how = this.conditions(entry.conditions);
        const what = entry.by === "owner" ? "Starts the owner counted" : `Starts, ${this.setup(setup)}`;
        return how === "" ? what : `${what}, ${how}`;
      }
      case "finding":
        return [
          this.catalog.findings?.find((f) => f.id === entry.finding)?.name ?? entry.finding,
          this.place(entry.on),
        ]
          .filter((s) => s !== "")
          .join(" · ");
      case "reading":
        return [
          this.catalog.readings?.find((r) => r.id === entry.reading)?.name ?? entry.reading,
          this.place(entry.on),
        ]
          .filter((s) => s !== "")
          .join(" · ");
      case "change":
        return this.change(entry);
      case "repair":
        return [
          this.catalog.repairs?.find((r) => r.id === entry.repair)?.name ?? entry.repair,
          this.place(entry.on),
        ]
          .filter((s) => s !== "")
          .join(" · ");
      case "note":
        return "Note";
      case "worksheet":
        return "Worksheet";
      case "release":
        return "Released";
    }
  }
}

export interface Setups {
  ticket: Ticket;
  /** the setup that holds while each entry is made, in the record's order */
  at: Setup[];
  /** the one that holds at its end */
  now: Setup;
}

/** @param before those of the record as it was: what stands as it stood keeps its very setups, and is not drawn anew */
export function setupsThrough(catalog: Catalog, ticket: Ticket, before: Setups | null = null): Setups {
  const { entries } = ticket;
  const old = before?.ticket.machine === ticket.machine ? before.ticket.entries : [];
  let same = 0;
  while (same < old.length && old[same] === entries[same]) same++;
  const at = before?.at.slice(0, same) ?? [];
  let now = same > 0 ? (before!.at[same] ?? before!.now) : intakeSetup({ catalog, ticket });
  for (const entry of entries.slice(same)) {
    at.push(now);
    if (entry.kind === "change") now = changed(now, entry);
    const sets =
      entry.kind === "repair" ? catalog.repairs?.find((r) => r.id === entry.repair)?.sets : undefined;
    if (sets) now = changed(now, { settings: sets });
  }
  return { ticket, at, now };
}

export interface TallyRow {
  outcome: Trial["outcome"];
  n: number;
  /** of those, not on the disk yet */
  pending: number;
  voided: number;
}

/** Starts of one row gathered by outcome, in stage order, clean last; voided ones apart. */
export function tallyOf(
  entry: EntryOf<"starts">,
  catalog: Catalog,
  isSaved: (trial: Trial) => boolean = () => true,
): TallyRow[] {
  const order = [...catalog.stages.map((s) => s.id), CLEAN];
  const rank = (o: Trial["outcome"]) => (Array.isArray(o) ? order.length - 1.5 : order.indexOf(o));
  const rows = new Map<string, TallyRow>();
  for (const trial of entry.trials) {
    const key = JSON.stringify(trial.outcome);
    const row = rows.get(key) ?? { outcome: trial.outcome, n: 0, pending: 0, voided: 0 };
    const n = trial.n ?? 1;
    if (trial.voided !== undefined) row.voided += n;
    else row.n += n;
    if (trial.voided === undefined && !isSaved(trial)) row.pending += n;
    rows.set(key, row);
  }
  return [...rows.values()].sort((x, y) => rank(x.outcome) - rank(y.outcome));
}
