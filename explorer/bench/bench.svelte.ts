/**
 * One ticket on the bench: its record, what it weighs, what to do next. Every edit replaces the ticket whole, so that
 * undo is a step back in a list and what is posted to the worker is plain data.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import type { Advice, Issue, ReleaseView, TestView, Weighing } from "../../engine/weighing.js";
import { classOf } from "../../engine/ticket/setup.js";
import type { WeighAnswer } from "../store/messages.js";
import * as edits from "./ticket-edits.js";
import { setupsThrough, Words } from "./words.js";

/** What the bench needs from outside: a database, an engine, a clock. */
export interface Desk {
  save(ticket: Ticket, weighing: Weighing | null): Promise<void>;
  /** null: overtaken by a later request */
  weigh(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null>;
  advise(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null>;
  /** ISO 8601 */
  now(): string;
}

type State = "working" | "done" | "failed";

export class Bench {
  readonly catalog: Catalog;
  readonly #desk: Desk;

  ticket: Ticket;
  /** the newest weighing there is; of an older record while `belief` is "working" */
  weighing: Weighing | null = $state.raw(null);
  advice: Advice | null = $state.raw(null);
  release: ReleaseView | null = $state.raw(null);
  /** what the engine will not weigh, and where */
  issues: Issue[] = $state.raw([]);
  failure: string | null = $state(null);
  saveFailure: string | null = $state(null);
  belief: State = $state("working");
  advising: State = $state("working");

  /** conditions of the next start: condition id → class id or minutes */
  conditions: edits.Conditions = $state.raw({});
  /** the test that was started, until its result is in or it is put aside */
  underWay: { test: TestView; since: string } | null = $state.raw(null);
  /** the cause that the reader touched */
  picked: string | null = $state(null);
  #past: Ticket[] = $state.raw([]);
  #future: Ticket[] = $state.raw([]);

  words = $derived.by(() => new Words(this.catalog, this.ticket));
  setups = $derived.by(() => setupsThrough(this.catalog, this.ticket));
  row = $derived.by(() => edits.openRow(this.ticket, this.catalog, this.conditions));
  spent = $derived.by(() => edits.minutesSpent(this.ticket));
  canUndo = $derived.by(() => this.#past.length > 0);
  canRedo = $derived.by(() => this.#future.length > 0);

  constructor(ticket: Ticket, catalog: Catalog, desk: Desk) {
    this.catalog = catalog;
    this.#desk = desk;
    this.ticket = $state.raw(ticket);
    this.conditions = lastConditions(ticket, catalog);
    void this.weigh();
  }

  /** One step of work: shown and saved at once, weighed after. */
  apply(edit: (ticket: Ticket) => Ticket): void {
    const next = edit(this.ticket);
    if (next === this.ticket) return;
    this.#past = [...this.#past, this.ticket];
    this.#future = [];
    this.#take(next);
  }

  undo(): void {
    const before = this.#past.at(-1);
    if (!before) return;
    this.#past = this.#past.slice(0, -1);
    this.#future = [this.ticket, ...this.#future];
    this.#take(before);
  }

  redo(): void {
    const after = this.#future[0];
    if (!after) return;
    this.#future = this.#future.slice(1);
    this.#past = [...this.#past, this.ticket];
    this.#take(after);
  }

  press(outcome: Trial["outcome"]): void {
    const start = { outcome, conditions: this.conditions, at: this.#desk.now() };
    this.apply((ticket) => edits.press(ticket, this.catalog, start));
  }

  add(draft: edits.Draft): void {
    this.apply((ticket) => edits.append(ticket, { ...draft, at: draft.at ?? this.#desk.now() }));
  }
  replace(entry: Entry): void {
    this.apply((ticket) => edits.replace(ticket, entry));
  }
  remove(id: string): void {
    this.apply((ticket) => edits.remove(ticket, id));
  }
  voidStart(id: string, index: number, why: string | null): void {
    this.apply((ticket) => edits.voidStart(ticket, id, index, why));
  }
  move(part: string, to: string | null): void {
    const fitted = this.setups.now;
    const fit = edits.moveFit(fitted.in === "own" ? fitted.fit : fitted.guest, part, to);
    if (Object.keys(fit).length > 0) this.apply((ticket) => edits.moveParts(ticket, fit, this.#desk.now()));
  }
  set(setting: string, value: string): void {
    this.apply((ticket) => edits.setSettings(ticket, { [setting]: value }, this.#desk.now()));
  }

  /** Writes what comes before the starts of a test and sets its conditions; the clock runs from here. */
  start(test: TestView): void {
    const since = this.#desk.now();
    this.apply((ticket) => edits.startTest(ticket, test, since));
    this.conditions = { ...this.conditions, ...test.conditions };
    this.underWay = { test, since };
  }

  /** Belief first, so that it repaints at once; the next test follows. */
  async weigh(): Promise<void> {
    const asked = this.ticket;
    this.belief = this.advising = "working";
    this.failure = null;
    try {
      if (!this.#read(asked, await this.#desk.weigh(this.catalog, asked))) return;
      this.belief = "done";
      if (!this.#read(asked, await this.#desk.advise(this.catalog, asked))) return;
      this.advice = this.weighing?.next ?? null;
      this.release = this.weighing?.release ?? null;
      this.advising = "done";
      await this.#save();
    } catch (error) {
      if (this.ticket !== asked) return;
      this.failure = error instanceof Error ? error.message : String(error);
      if (this.belief === "working") this.belief = "failed";
      this.advising = "failed";
    }
  }

  /** False where the answer is not wanted any more or is a list of issues. */
  #read(asked: Ticket, answer: WeighAnswer | null): boolean {
    if (answer === null || this.ticket !== asked) return false;
    this.issues = "issues" in answer ? answer.issues : [];
    if ("weighing" in answer) this.weighing = answer.weighing;
    else this.belief = this.advising = "failed";
    return "weighing" in answer;
  }

  #take(ticket: Ticket): void {
    this.ticket = ticket;
    void this.#save();
    void this.weigh();
  }

  async #save(): Promise<void> {
    try {
      await this.#desk.save(this.ticket, this.weighing);
      this.saveFailure = null;
    } catch (error) {
      this.saveFailure = error instanceof Error ? error.message : String(error);
    }
  }
}

/** The next start is of the class that the last one was, until told otherwise; its minutes were its own. */
function lastConditions(ticket: Ticket, catalog: Catalog): edits.Conditions {
  const last = ticket.entries.findLast((e) => e.kind === "starts" && e.by !== "owner");
  const stated = last?.kind === "starts" ? last.conditions : undefined;
  return Object.fromEntries(
    (catalog.conditions ?? []).map((condition) => {
      const value = stated?.[condition.id] ?? condition.default;
      return [condition.id, typeof value === "number" ? classOf(condition, value) : value];
    }),
  );
}
