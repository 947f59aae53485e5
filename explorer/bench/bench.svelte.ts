/**
 * One ticket on the bench: its record, what it weighs, what to do next. Every edit replaces the ticket whole, so that
 * what is posted to the worker is plain data; the difference is kept as a step, so that undo survives a reload.
 *
 * What is on the disk: `bench.saved` is the ticket as the database has committed it, `bench.isSaved(entry)` and
 * `bench.isSaved(trial)` say it of one entry or start of `bench.ticket`. A mark is drawn pending until then.
 * `bench.clashes` are values that another window changed at the same time; `bench.settle` decides between them.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import type { Advice, Issue, ReleaseView, TestView, Weighing } from "../../engine/weighing.js";
import { classOf } from "../../engine/ticket/setup.js";
import { merge, type Clash } from "../store/merge.js";
import type { AdviceAnswer, WeighAnswer } from "../store/messages.js";
import { applied, back, diff, type Patch } from "../store/patch.js";
import { same } from "../store/plain.js";
import type { Kept, Save, SaveAnswer } from "../store/tickets.js";
import { THIS_WINDOW } from "../store/windows.js";
import type { Practice } from "../practice/practice.svelte.js";
import { besides } from "./besides.js";
import { missingFrom } from "./fitted/missing.js";
import { byChance, Foresight } from "./foresight.svelte.js";
import { Saving } from "./saving.svelte.js";
import * as edits from "./ticket-edits.js";
import { UnderWay } from "./strip/under-way.svelte.js";
import { Views } from "./views.js";
import { setupsThrough, Words, type Setups } from "./words.js";

/** What the bench needs from outside: a database, an engine, a clock. */
export interface Desk {
  save(save: Save): Promise<SaveAnswer>;
  /** a weighing of the ticket, for the list of tickets: at this revision, or null where it is not to be kept */
  weighed?(ticket: Ticket, revision: number | null, weighing: Weighing): void;
  /** what is wrong with a ticket, before anything is made of it */
  check?(ticket: Ticket): Promise<Issue[]>;
  /** the same without weighing it: what no record may hold */
  look?(catalog: Catalog, ticket: Ticket): Promise<Issue[]>;
  /** null: overtaken by a later request */
  weigh(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null>;
  /** the next tests */
  advise(catalog: Catalog, ticket: Ticket): Promise<AdviceAnswer | null>;
  /** with everything: release and sensitivity too, which take as long again */
  prove(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null>;
  /** the belief of a ticket that may come next; null: overtaken by what has come */
  foresee?(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null>;
  /** until what was just changed is on the screen */
  painted?(): Promise<void>;
  /** long enough for another press to come, which what is worked out then would keep waiting */
  pause?(): Promise<void>;
  /** ISO 8601 */
  now(): string;
}

type State = "working" | "done" | "failed";

export interface Charted extends Setups {
  weighing: Weighing | null;
}

export class Bench {
  readonly catalog: Catalog;
  readonly #desk: Desk;

  ticket: Ticket;
  /** the newest weighing there is; of an older record while `belief` is "working" */
  weighing: Weighing | null = $state.raw(null);
  advice: Advice | null = $state.raw(null);
  /** the newest with everything: of an older record while `proving` is "working" */
  proved: Weighing | null = $state.raw(null);
  /** what the next start would say, until it comes */
  readonly foresight = new Foresight();
  /** what the engine will not weigh, and where */
  issues: Issue[] = $state.raw([]);
  failure: string | null = $state(null);
  belief: State = $state("working");
  advising: State = $state("working");
  proving: State = $state("working");

  #conditions: edits.Conditions = $state.raw({});
  /** the test that was started, until its result is in or it is put aside */
  underWay: UnderWay | null = $state.raw(null);
  /** the step that it began with, if it wrote anything */
  #begunAt: number | null = null;
  /** the cause that the reader touched */
  picked: string | null = $state(null);
  /** changed here and in another window to different ends; the record holds the other window's */
  clashes: Clash[] = $state.raw([]);
  /** a practice machine answers in the technician's place */
  practice: Practice | null = $state.raw(null);
  /** every step, of which the first `#done` hold */
  #steps: Patch[] = $state.raw([]);
  #done = $state(0);
  /** the first of them that was made since this window was opened, loaded again or not */
  #since = 0;
  /** the last thing done here was an undo of what another window had done */
  tookBackTheirs = $state(false);
  /** what the last thing done here did besides, in a sentence */
  besides = $state("");
  readonly #saving: Saving;
  readonly #views = new Views();

  // words speak of the machine alone, and setups of what came before: a press leaves both to the rows of a long record;
  // words are not derived from the ticket, or each of those rows would be asked at every press whether they changed
  words: Words = $state.raw()!;
  #before: Setups | null = null;
  setups = $derived.by(() => (this.#before = setupsThrough(this.catalog, this.ticket, this.#before)));
  /** what the machine lacks to be tried as it stands, in a sentence */
  missing = $derived.by(() => missingFrom(this.setups.now, this.words));
  /** the record that the charts show: the one weighed last, once its belief is painted, so that no press waits for them */
  charted: Charted = $state.raw()!;
  row = $derived.by(() => edits.openRow(this.ticket, this.catalog, this.conditions));
  spent = $derived.by(() => edits.minutesSpent(this.ticket));
  canUndo = $derived.by(() => this.#done > 0);
  canRedo = $derived.by(() => this.#done < this.#steps.length);

  /** @param kept the ticket as stored, with its steps; without it none is stored yet */
  constructor(ticket: Ticket, catalog: Catalog, desk: Desk, kept?: Kept) {
    this.catalog = catalog;
    this.#desk = desk;
    this.ticket = $state.raw(ticket);
    this.words = new Words(catalog, ticket);
    this.#steps = kept?.steps ?? [];
    this.#done = kept?.stored.done ?? 0;
    const own = this.#steps.findIndex(({ by }) => by === THIS_WINDOW);
    this.#since = own < 0 ? this.#steps.length : own;
    this.#saving = new Saving(
      { ticket, steps: this.#steps, done: this.#done, revision: kept?.stored.revision ?? 0 },
      {
        save: (save) => desk.save(save),
        read: () => ({ ticket: this.ticket, steps: this.#steps, done: this.#done }),
        meet: (theirs) => this.#meet(theirs),
      },
    );
    this.#conditions = lastConditions(ticket, catalog);
    this.charted = { ...this.setups, weighing: null };
    void this.weigh();
  }

  /** conditions of the next start: condition id → class id or minutes */
  get conditions(): edits.Conditions {
    return this.#conditions;
  }
  set conditions(conditions: edits.Conditions) {
    this.#conditions = conditions;
    if (this.belief === "done") this.#foresee(this.weighing!);
  }
  get saved(): Ticket {
    return this.#saving.saved;
  }
  get saveFailure(): string | null {
    return this.#saving.failure;
  }
  /** none where it cannot be worked out any more: what an older record says would be taken for this one's */
  get release(): ReleaseView | null {
    return this.proving === "failed" ? null : (this.proved?.release ?? null);
  }
  /** ISO 8601 */
  now(): string {
    return this.#desk.now();
  }
  /** may it say what to do next? On a practice machine that costs points, until it is handed over */
  get advises(): boolean {
    const { practice } = this.ticket;
    return !practice || practice.ending !== undefined;
  }
  isSaved(item: Entry | Trial): boolean {
    return this.#saving.marks.has(item);
  }

  /** One step of work: shown and saved at once, weighed after. */
  apply(edit: (ticket: Ticket) => Ticket): void {
    const next = edit(this.ticket);
    const step = diff(this.ticket, next);
    if (!step || !this.#allowed(next)) return;
    const from = this.#done;
    this.#steps = [...this.#steps.slice(0, from), { ...step, by: THIS_WINDOW }];
    this.#done = from + 1;
    this.#take(next, from);
  }

  undo(): void {
    if (!this.canUndo) return;
    const step = this.#steps[this.#done - 1]!;
    const next = applied(this.ticket, back(step));
    if (!this.#allowed(next)) return;
    if (this.#done === this.#begunAt) this.underWay = this.#begunAt = null; // what it began with is taken back
    this.#done--;
    this.#take(next);
    this.tookBackTheirs = this.#done >= this.#since && step.by !== THIS_WINDOW;
  }

  redo(): void {
    if (!this.canRedo) return;
    const next = applied(this.ticket, this.#steps[this.#done]!);
    this.#done++;
    this.#take(next);
  }

  /** The last step of this kind that holds. */
  lastStep(is: (step: Patch) => boolean): Patch | undefined {
    return this.#steps.slice(0, this.#done).findLast(is);
  }

  /** Saves again what could not be saved. */
  save(): Promise<void> {
    return this.#saving.ask(this.#steps.length);
  }

  /** Takes what another window has saved, unless something is pending here: the next save will meet it. */
  catchUp(theirs: Kept): void {
    if (!this.#saving.idle || theirs.stored.revision <= this.#saving.revision) return;
    this.#meet(theirs);
    this.#saving.take(theirs);
  }

  /** Decides a clash: the other window's value stands already, `mine` puts this one's in its place. */
  settle(clash: Clash, whose: "mine" | "theirs"): void {
    this.clashes = this.clashes.filter((c) => c !== clash);
    const step: Patch = { path: clash.path, was: clash.theirs, now: clash.mine };
    if (whose === "mine") this.apply((ticket) => applied(ticket, step));
  }

  /** @param then  what else the same step writes */
  press(outcome: Trial["outcome"], then = (ticket: Ticket) => ticket): void {
    const start = { outcome, conditions: this.conditions, at: this.#desk.now() };
    const under = this.underWay;
    this.apply((ticket) => {
      const next = then(edits.press(ticket, this.catalog, start));
      return under?.isOver(next) ? under.writtenIn(next, start.at) : next;
    });
    if (under?.isOver(this.ticket)) this.underWay = null;
  }

  /** @param before id of the entry that it comes before; null: at the end */
  add(draft: edits.Draft, before: string | null = null): void {
    const now = this.#desk.now();
    const over = this.underWay?.isAnsweredBy(draft) ? this.underWay : null;
    const minutes = draft.minutes ?? over?.written(now);
    const entry = { ...draft, at: draft.at ?? now, ...(minutes !== undefined && { minutes }) };
    this.apply((ticket) => edits.insert(ticket, entry, before));
    if (over) this.underWay = null;
  }
  /** @param opened the entry as its form was filled from: what was done to it since, here or elsewhere, stays */
  replace(entry: Entry, opened: Entry | null = null): void {
    const { entries, deleted = [] } = this.ticket;
    const now = [...entries, ...deleted.map((gone) => gone.entry)].find((e) => e.id === entry.id);
    if (!now) return this.add(entry); // what wrote it has been taken back since
    // deleted since, it comes back in its place: a copy would count twice when that is brought back
    const write = (value: Entry) =>
      this.apply((ticket) => edits.replace(edits.bringBack(ticket, entry.id), value));
    if (!opened || opened === now) return write(entry);
    const { value, clashes } = merge(opened, entry, now);
    const path = ["entries", entry.id];
    this.clashes = [...this.clashes, ...clashes.map((c) => ({ ...c, path: [...path, ...c.path] }))];
    write(value);
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

  /** Takes an edit only where the engine can weigh what comes of it; answers with what is wrong. */
  async tryApply(edit: (ticket: Ticket) => Ticket): Promise<Issue[]> {
    const issues = (await this.#desk.check?.(edit(this.ticket))) ?? [];
    if (issues.length === 0) this.apply(edit);
    return issues;
  }

  /** What is wrong with an entry that is to be written, apart from what is wrong with the record already. */
  async objections(draft: edits.Draft & { id?: string }, before: string | null): Promise<Issue[]> {
    const { id } = draft;
    const next =
      id !== undefined && this.ticket.entries.some((e) => e.id === id)
        ? edits.replace(this.ticket, { ...draft, id } as Entry)
        : edits.insert(this.ticket, draft, before);
    const known = this.issues.map(({ message }) => message);
    const issues = (await this.#desk.look?.(this.catalog, next)) ?? [];
    return issues.filter(({ message }) => !known.includes(message));
  }

  /** Writes what comes before the starts of a test and sets its conditions; the clock runs from here. */
  start(test: TestView): void {
    const since = this.#desk.now();
    const before = this.underWay;
    const steps = this.#done;
    this.apply((ticket) => {
      const closed = before?.writtenIn(ticket, since) ?? ticket;
      return edits.startTest(closed, test, since);
    });
    this.conditions = { ...this.conditions, ...test.conditions };
    this.underWay = new UnderWay(test, since);
    this.#begunAt = this.#done > steps ? this.#done : null;
  }

  /** Belief first, so that it repaints at once; the next test follows, then whether it is fixed. */
  async weigh(): Promise<void> {
    const asked = this.ticket;
    // who goes on before the advice is there will go on again, and would wait for what nobody reads
    const hurried = this.weighing !== null && this.advising === "working";
    this.belief = this.advising = this.proving = "working";
    this.failure = null;
    try {
      const weighed = this.#read(asked, await this.#weighed(asked));
      if (!weighed) return;
      this.weighing = this.#views.weighed(weighed.weighing, this.weighing);
      this.#settle("done");
      await this.#desk.painted?.(); // what the engine did next would share the processor with it
      if (this.ticket !== asked) return;
      this.#foresee(weighed.weighing);
      if (hurried) await this.#desk.pause?.();
      if (this.ticket !== asked) return;
      const advised = this.#read(asked, await this.#desk.advise(this.catalog, asked));
      if (!advised) return;
      this.advice = advised.advice;
      this.advising = "done";
      this.#desk.weighed?.(asked, null, { ...weighed.weighing, next: advised.advice }); // kept once proved
      await this.#desk.pause?.();
      if (this.ticket !== asked) return;
      const proved = this.#read(asked, await this.#desk.prove(this.catalog, asked));
      if (!proved) return;
      this.weighing = this.proved = this.#views.proved(proved.weighing);
      this.proving = "done";
      void this.#chart();
      this.#desk.weighed?.(asked, this.#saving.revision, this.weighing);
    } catch (error) {
      if (this.ticket !== asked) return;
      this.failure = error instanceof Error ? error.message : String(error);
      if (this.belief === "working") this.#settle("failed");
      if (this.advising === "working") this.advising = "failed";
      this.proving = "failed";
    }
  }

  /** What was foreseen is not weighed again. */
  #weighed(asked: Ticket): Promise<WeighAnswer | null> {
    const weigh = () => this.#desk.weigh(this.catalog, asked);
    const foretold = this.foresight.take(asked);
    if (!foretold) return weigh();
    const painted = this.#desk.painted?.(); // what was pressed comes first
    return Promise.all([foretold, painted]).then(([answer]) => answer ?? weigh());
  }

  #foresee({ predictive }: Weighing): void {
    const desk = this.#desk;
    const pressed = (outcome: string, ticket = this.ticket) =>
      edits.press(ticket, this.catalog, { outcome, conditions: this.conditions, at: desk.now() });
    const [likeliest, ...others] = byChance(predictive);
    if (likeliest === undefined) return;
    const once = pressed(likeliest);
    const soon = [once, pressed(likeliest, once)];
    const later = others.map((outcome) => pressed(outcome));
    const ask = async (ticket: Ticket) => (await desk.foresee?.(this.catalog, ticket)) ?? null;
    void this.foresight.begin(soon, later, ask, async () => desk.pause?.());
  }

  /** Null where the answer is not wanted any more or is a list of issues. */
  #read<A extends object>(asked: Ticket, answer: A | { issues: Issue[] } | null): A | null {
    if (answer === null || this.ticket !== asked) return null;
    this.issues = "issues" in answer ? answer.issues : [];
    if (!("issues" in answer)) return answer;
    this.#settle("failed");
    this.advising = this.proving = "failed";
    return null;
  }

  /** The record is weighed, or cannot be. */
  #settle(belief: "done" | "failed"): void {
    this.belief = belief;
    this.foresight.forget();
    void this.#chart();
  }

  async #chart(): Promise<void> {
    const shown = { ...this.setups, weighing: this.weighing };
    await this.#desk.painted?.();
    if (this.ticket === shown.ticket) this.charted = shown;
  }

  #allowed(next: Ticket): boolean {
    return this.practice?.allows(this.ticket, next) ?? true;
  }

  #take(ticket: Ticket, from = this.#steps.length): void {
    this.tookBackTheirs = false;
    this.besides = besides(this.ticket, ticket);
    this.#show(ticket);
    void this.weigh();
    void this.#saving.ask(from);
  }

  #show(ticket: Ticket): void {
    if (ticket.machine !== this.ticket.machine) this.words = new Words(this.catalog, ticket);
    this.ticket = ticket;
  }

  /** Puts what is pending here on top of what another window has saved. */
  #meet({ stored, steps }: Kept): void {
    const { value, clashes } = merge(this.#saving.saved, this.ticket, stored.ticket);
    const mine = diff(stored.ticket, value);
    this.clashes = [...this.clashes, ...clashes];
    const known = this.#steps;
    const fresh = steps.findIndex((step, i) => !same(step, known[i]));
    if (fresh >= 0) this.#since = Math.min(this.#since, fresh);
    this.#steps = mine ? [...steps.slice(0, stored.done), { ...mine, by: THIS_WINDOW }] : steps;
    this.#done = stored.done + (mine ? 1 : 0);
    this.#show(mine ? value : stored.ticket);
    void this.weigh();
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
