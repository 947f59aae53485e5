/**
 * What the schema cannot say of a ticket: ids that the catalog must have, and entries that must make sense in their place.
 */
import type { Catalog, Target } from "../catalog/schema.js";
import type { Issue } from "../weighing.js";
import { checkRelease, checkTemplates } from "./checkCatalog.js";
import { issue } from "../issue.js";
import { unknownId } from "./parse.js";
import { readingValue } from "./units.js";
import { changed, conditionMinutes, intakeSetup, OWN, type Setup } from "./setup.js";
import type { Entry, EntryOf, Part, Ticket } from "./schema.js";

const ids = (list: readonly { id: string }[] | undefined): string[] => (list ?? []).map((x) => x.id);

/** More than a power cycler makes in a year; each portion of 64 is weighed on its own. */
const MOST_STARTS = 100_000;

/** Every fault of a ticket against its catalog. */
export function checkTicket(catalog: Catalog, ticket: Ticket): Issue[] {
  const check = new TicketCheck(catalog, ticket);
  check.machine();
  if (check.issues.length > 0) return check.issues;
  check.record();
  return check.issues;
}

class TicketCheck {
  issues: Issue[] = [];
  private readonly parts: Map<string, Part>;
  private readonly positions: string[];
  private readonly outcomes: string[];

  constructor(
    private readonly catalog: Catalog,
    private readonly ticket: Ticket,
  ) {
    this.parts = new Map(ticket.machine.parts.map((p) => [p.id, p]));
    this.positions = ids(catalog.positions);
    this.outcomes = [...ids(catalog.stages), "clean"];
  }

  private add(path: string, found: string, expected: string): void {
    this.issues.push(issue(path, found, expected));
  }

  private known(path: string, id: string, what: string, list: readonly string[]): boolean {
    if (!list.includes(id)) this.issues.push(unknownId(path, id, what, list));
    return list.includes(id);
  }

  machine(): void {
    const { machine } = this.ticket;
    this.distinct(ids(machine.parts), "machine.parts");
    this.distinct(ids(machine.donors), "machine.donors");
    this.distinct(ids(this.ticket.entries), "entries");
    const taken = new Map<string, string>();
    machine.parts.forEach((part, k) => {
      const path = `machine.parts[${k}]`;
      this.known(`${path}.kind`, part.kind, "the part kind", ids(this.catalog.parts));
      if (part.position === undefined) return;
      if (taken.has(part.position))
        this.add(
          `${path}.position`,
          `${part.position}, where ${taken.get(part.position)} sits`,
          "a position of its own",
        );
      taken.set(part.position, part.id);
      this.fits(`${path}.position`, part.position, part);
    });
    (machine.donors ?? []).forEach((donor, k) => {
      if (donor.id === OWN)
        this.add(
          `machine.donors[${k}].id`,
          `"${OWN}"`,
          "another id: that one means the ticket's own machine",
        );
      (donor.parts ?? []).forEach((p, j) => {
        this.known(`machine.donors[${k}].parts[${j}].kind`, p.kind, "the part kind", ids(this.catalog.parts));
        this.known(`machine.donors[${k}].parts[${j}].position`, p.position, "the position", this.positions);
      });
    });
    this.settings(machine.settings, "machine.settings");
    this.conditions(machine.conditions, "machine.conditions");
    (machine.events ?? []).forEach((e, k) =>
      this.known(`machine.events[${k}].event`, e.event, "the event", ids(this.catalog.events)),
    );
    this.issues.push(...checkTemplates(this.catalog, this.ticket.causes ?? [], "causes"));
    this.issues.push(...checkRelease(this.catalog, this.ticket.release, "release"));
  }

  private distinct(list: readonly string[], name: string): void {
    list.forEach((id, k) => {
      if (list.indexOf(id) !== k) this.add(`${name}[${k}].id`, `"${id}" a second time`, "an id of its own");
    });
  }

  private fits(path: string, position: string, part: Part): void {
    if (!this.known(path, position, "the position", this.positions)) return;
    const { accepts } = this.catalog.positions.find((p) => p.id === position)!;
    if (accepts !== part.kind)
      this.add(path, `${part.id}, a ${part.kind}, in ${position}`, `a ${accepts} there`);
  }

  private settings(settings: Record<string, string> | undefined, path: string): void {
    for (const [id, value] of Object.entries(settings ?? {})) {
      if (!this.known(`${path}.${id}`, id, "the setting", ids(this.catalog.settings))) continue;
      this.known(
        `${path}.${id}`,
        value,
        "the value",
        ids(this.catalog.settings!.find((s) => s.id === id)!.values),
      );
    }
  }

  private conditions(conditions: Record<string, string | number> | undefined, path: string): void {
    for (const [id, value] of Object.entries(conditions ?? {})) {
      if (!this.known(`${path}.${id}`, id, "the condition", ids(this.catalog.conditions))) continue;
      if (typeof value === "string")
        this.known(
          `${path}.${id}`,
          value,
          "the class",
          ids(this.catalog.conditions!.find((c) => c.id === id)!.classes),
        );
    }
  }

  /** Entries in their order, carrying the setup along. */
  record(): void {
    let setup = intakeSetup({ catalog: this.catalog, ticket: this.ticket });
    this.ticket.entries.forEach((entry, k) => {
      setup = this.entry(entry, `entries[${k}]`, setup);
    });
  }

  private entry(entry: Entry, path: string, setup: Setup): Setup {
    switch (entry.kind) {
      case "starts":
        this.starts(entry, path);
        return setup;
      case "finding":
        this.finding(entry, path, setup);
        return setup;
      case "reading":
        this.reading(entry, path, setup);
        return setup;
      case "change":
        return this.change(entry, path, setup);
      case "repair":
        return this.repair(entry, path, setup);
      default:
        return setup;
    }
  }

  private starts(entry: EntryOf<"starts">, path: string): void {
    this.conditions(entry.conditions, `${path}.conditions`);
    const starts = entry.trials.reduce((sum, trial) => sum + (trial.n ?? 1), 0);
    if (starts > MOST_STARTS)
      this.add(`${path}.trials`, `${starts} starts`, `at most ${MOST_STARTS} in one entry`);
    entry.trials.forEach((trial, k) => {
      const outcomes = typeof trial.outcome === "string" ? [trial.outcome] : trial.outcome;
      const where = `${path}.trials[${k}]`;
      outcomes.forEach((id) => this.known(`${where}.outcome`, id, "the outcome", this.outcomes));
      if (trial.minute === undefined || trial.voided !== undefined) return;
      if (!ids(this.catalog.conditions).includes("load"))
        return this.add(
          `${where}.minute`,
          `${trial.minute}`,
          "none: this catalog has no condition named load",
        );
      const planned = conditionMinutes(this.catalog, this.ticket.machine.conditions, entry.conditions)[
        "load"
      ]!;
      if (outcomes.includes("clean"))
        this.add(
          `${where}.minute`,
          `${trial.minute} on a clean start`,
          "a minute only where the run stopped",
        );
      else if (trial.minute > planned)
        this.add(
          `${where}.minute`,
          `${trial.minute}`,
          `at most the ${planned} minutes that were planned (conditions.load)`,
        );
    });
  }

  /** What a finding, reading or repair is made on must exist, and be of the kind the catalog says. */
  private target(target: Target, on: string | undefined, path: string, setup: Setup): void {
    if (target === "machine") {
      if (on !== undefined) this.add(`${path}.on`, `"${on}"`, "nothing: it is made on the machine");
      return;
    }
    const wanted = "part" in target ? target.part : target.position;
    const list =
      "part" in target
        ? [...this.parts.values()].filter((p) => p.kind === wanted).map((p) => p.id)
        : this.catalog.positions.filter((p) => p.kind === wanted).map((p) => p.id);
    if (on === undefined)
      this.add(`${path}.on`, "nothing", `which ${wanted}: one of ${list.join(", ") || "none here"}`);
    else if (this.known(`${path}.on`, on, `the ${wanted}`, list) && "position" in target && setup.in !== OWN)
      this.add(
        `${path}.on`,
        `"${on}" while in ${setup.in}`,
        "the ticket's own machine, whose positions are known",
      );
  }

  private finding(entry: EntryOf<"finding">, path: string, setup: Setup): void {
    if (!this.known(`${path}.finding`, entry.finding, "the finding", ids(this.catalog.findings))) return;
    const finding = this.catalog.findings!.find((f) => f.id === entry.finding)!;
    this.known(`${path}.value`, entry.value, "the value", ids(finding.values));
    this.target(finding.on, entry.on, path, setup);
  }

  private reading(entry: EntryOf<"reading">, path: string, setup: Setup): void {
    if (!this.known(`${path}.reading`, entry.reading, "the reading", ids(this.catalog.readings))) return;
    const reading = this.catalog.readings!.find((r) => r.id === entry.reading)!;
    this.target(reading.on, entry.on, path, setup);
    const value = readingValue(entry.value, reading.unit);
    const [low, high] = reading.range;
    if (value === null)
      this.add(
        `${path}.value`,
        JSON.stringify(entry.value),
        `a number in ${reading.unit}, or a quantity with a unit of that kind`,
      );
    else if (!(value >= low && value <= high))
      this.add(
        `${path}.value`,
        `${value} ${reading.unit}`,
        `what the instrument can show, ${low} to ${high} ${reading.unit}`,
      );
  }

  private change(entry: EntryOf<"change">, path: string, setup: Setup): Setup {
    const before = this.issues.length;
    const machines = [OWN, ...ids(this.ticket.machine.donors)];
    if (entry.in !== undefined) this.known(`${path}.in`, entry.in, "the machine", machines);
    const seen = new Map<string, string>();
    for (const [position, id] of Object.entries(entry.fit ?? {})) {
      const where = `${path}.fit.${position}`;
      if (!this.known(where, position, "the position", this.positions) || id === null) continue;
      if (!this.known(where, id, "the part", [...this.parts.keys()])) continue;
      if (seen.has(id))
        this.add(where, `${id}, which also goes to ${seen.get(id)}`, "a part in one place only");
      seen.set(id, position);
      this.fits(where, position, this.parts.get(id)!);
    }
    this.settings(entry.settings, `${path}.settings`);
    if (this.issues.length > before) return setup;
    return changed(setup, entry);
  }

  private repair(entry: EntryOf<"repair">, path: string, setup: Setup): Setup {
    if (!this.known(`${path}.repair`, entry.repair, "the repair", ids(this.catalog.repairs))) return setup;
    const repair = this.catalog.repairs!.find((r) => r.id === entry.repair)!;
    this.target(repair.on, entry.on, path, setup);
    return repair.sets ? changed(setup, { settings: repair.sets }) : setup;
  }
}
