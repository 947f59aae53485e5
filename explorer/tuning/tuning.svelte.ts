/** The state of the tuning page: a table, how it is matched, what was wrong with it, what it taught. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Beginning, Written } from "../../engine/learn/intake.js";
import type { TicketsLeftOut } from "../../engine/learn/score/minutes.js";
import type { Matching, Role } from "../../engine/learn/table/matching.js";
import type { TuningView } from "../../engine/learn/tuning.js";
import { undone } from "../../engine/learn/undo.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import { marksOf, matchingOf } from "./beginning.js";
import type { Answer, MatchedTable, Read, Request } from "./messages.js";
import { remember, remembered } from "./remembered.js";

/** What the page needs of a worker; a test hands in its own. */
export type Postable = Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;
const realWorker = (): Postable => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

export type Busy = "looking" | "reading" | "fitting" | "leaving out";

export class Tuning {
  /** the catalog that is tuned */
  catalog: Catalog = $state.raw()!;
  table: { name: string; file: Blob } | null = $state.raw(null);
  beginning: Beginning | null = $state.raw(null);
  matching: Matching | null = $state.raw(null);
  read: Read | null = $state.raw(null);
  view: TuningView | null = $state.raw(null);
  /** closed tickets of this bench are counted with the table */
  countsOwn = $state(true);
  busy: Busy | null = $state(null);
  /** 0 to 1 */
  progress = $state(0);
  issues: Issue[] = $state.raw([]);
  failure: string | null = $state(null);
  cancelled = $state(false);

  #worker: Postable | null = null;
  #waiting: { resolve: (answer: Answer | null) => void } | null = null;

  constructor(
    catalog: Catalog,
    private readonly own: () => readonly Ticket[],
    private readonly make: () => Postable = realWorker,
  ) {
    this.catalog = catalog;
  }

  /** Another catalog, or the one that was just tuned: whatever was read has to be read again. */
  use(catalog: Catalog): void {
    this.catalog = catalog;
    this.read = this.view = null;
    if (this.table) void this.open(this.table.name, this.table.file);
  }

  /** Back to the catalog before it was tuned. */
  undo(): void {
    const back = undone(this.catalog);
    if ("issues" in back) this.issues = back.issues;
    else this.use(back.catalog);
  }

  async open(name: string, file: Blob): Promise<void> {
    this.#clear();
    this.table = { name, file };
    this.beginning = this.matching = null;
    await this.#look({});
  }

  /** Reads headings and first rows again, written as a person says; where that cannot be done all stays as it was. */
  async readAs(written: Written): Promise<void> {
    const before = this.matching!;
    this.#clear();
    const tried = (this.matching = { ...before, ...written });
    const seen = await this.#look({ encoding: before.encoding, ...written });
    if (!seen && this.matching === tried) this.matching = before;
  }

  /** The closed tickets of this bench. */
  get closed(): readonly Ticket[] {
    return this.own();
  }

  /** Whether they are counted with a table. */
  countOwn(yes: boolean): void {
    this.countsOwn = yes;
    this.read = this.view = null;
  }

  match(part: Partial<Matching>): void {
    this.matching = { ...this.matching!, ...part };
    this.read = this.view = null;
  }

  /** @param heading  null where no column holds it */
  column(role: Role, heading: string | null): void {
    const { [role]: _, ...columns } = this.matching!.columns;
    this.match({ columns: heading === null ? columns : { ...columns, [role]: heading } });
    const { days, decimal } = marksOf(this.beginning!, this.matching!.columns, this.catalog);
    if (role === "closed") this.match({ days });
    if (role === "age" || role === "minutes") this.match({ decimal });
  }

  stopsAt(stage: string, heading: string | null): void {
    const { [stage]: _, ...stopsAt } = this.matching!.stopsAt;
    this.match({ stopsAt: heading === null ? stopsAt : { ...stopsAt, [stage]: heading } });
  }

  /** What a word of the table means; takes effect when the table is read again. @param id  null: nothing was confirmed */
  word(word: string, id: string | null): void {
    this.matching = { ...this.matching!, words: { ...this.matching!.words, [word]: id } };
  }

  async readTable(): Promise<void> {
    this.#clear();
    remember(this.beginning!.heading, this.matching!);
    const table = { file: this.table!.file, matching: this.matching! };
    await this.#read(table, this.countsOwn ? this.closed : []);
  }

  /** The closed tickets of this bench alone. */
  async readOwn(): Promise<void> {
    this.#clear();
    this.table = this.beginning = this.matching = null;
    await this.#read(null, this.closed);
  }

  async fit(): Promise<void> {
    const columns = { ...this.matching?.columns, ...this.matching?.stopsAt };
    this.view = null;
    const answer = await this.#ask("fitting", { kind: "fit", columns });
    if (answer?.kind === "fitted") this.view = answer.view;
  }

  /** @returns null where another table overtook it; a failure is for whoever asked, and nothing else is touched by it */
  async leaveOut(wanted: number): Promise<TicketsLeftOut | { failure: string } | null> {
    const answer = await this.#send("leaving out", { kind: "leave out", wanted });
    if (answer?.kind === "failure") return { failure: answer.message };
    return answer?.kind === "left out" ? answer.left : null;
  }

  /** Ends the worker: what it had read is gone, the matching stays. */
  cancel(): void {
    if (this.busy !== "looking") this.read = null;
    this.cancelled = true;
    this.#end();
  }

  close(): void {
    this.#end();
  }

  #end(): void {
    this.#worker?.terminate();
    this.#worker = null;
    this.#waiting?.resolve(null);
    this.#waiting = null;
    this.busy = null;
  }

  #clear(): void {
    this.#end();
    this.read = this.view = null;
    this.issues = [];
    this.failure = null;
  }

  /** @returns whether anything could be seen */
  async #look(written: Written): Promise<boolean> {
    const { catalog, table } = this;
    const answer = await this.#ask("looking", { kind: "begin", catalog, file: table!.file, written });
    if (answer?.kind !== "beginning") return false;
    const { heading } = answer.beginning;
    const isSame = JSON.stringify(heading) === JSON.stringify(this.beginning?.heading);
    this.matching = matchingOf(answer.beginning, isSame ? this.matching : remembered(heading), catalog);
    this.beginning = answer.beginning;
    return true;
  }

  async #read(table: MatchedTable | null, tickets: readonly Ticket[]): Promise<void> {
    const own = $state.snapshot(tickets) as Ticket[];
    const answer = await this.#ask("reading", { kind: "read", catalog: this.catalog, table, own });
    if (answer?.kind === "read") this.read = answer.read;
  }

  async #ask(busy: Busy, request: Request): Promise<Answer | null> {
    this.cancelled = false;
    const answer = await this.#send(busy, request);
    if (answer?.kind === "issues") this.issues = answer.issues;
    if (answer?.kind === "failure") this.failure = answer.message;
    return answer;
  }

  /** @returns null where it was cancelled, or overtaken by the next table */
  async #send(busy: Busy, request: Request): Promise<Answer | null> {
    this.busy = busy;
    this.progress = 0;
    this.#worker ??= this.#start();
    this.#worker.postMessage(request);
    const answer = await new Promise<Answer | null>((resolve) => (this.#waiting = { resolve }));
    if (answer !== null) this.busy = null;
    return answer;
  }

  #start(): Postable {
    const worker = this.make();
    worker.onmessage = ({ data }: MessageEvent<Answer>) => {
      if (data.kind === "progress") this.progress = data.done / data.of;
      else this.#answer(data);
    };
    worker.onerror = (event) =>
      this.#answer({ kind: "failure", message: event.message || "the worker could not be started" });
    return worker;
  }

  #answer(answer: Answer): void {
    const waiting = this.#waiting;
    this.#waiting = null;
    waiting?.resolve(answer);
  }
}
