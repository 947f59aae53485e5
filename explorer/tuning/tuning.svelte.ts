/** The state of the tuning page: a table, how it is matched, what was wrong with it, what it taught. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Beginning } from "../../engine/learn/intake.js";
import type { TicketsLeftOut } from "../../engine/learn/score/minutes.js";
import type { Matching, Role } from "../../engine/learn/table/matching.js";
import type { TuningView } from "../../engine/learn/tuning.js";
import { undone } from "../../engine/learn/undo.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import type { Answer, Read, Request } from "./messages.js";
import { rememberedMatching, rememberMatching } from "./remembered.js";

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
    const answer = await this.#ask("looking", { kind: "begin", catalog: this.catalog, file });
    if (answer?.kind !== "beginning") return;
    this.beginning = answer.beginning;
    this.matching = rememberedMatching(answer.beginning.heading) ?? answer.beginning.matching;
  }

  match(part: Partial<Matching>): void {
    this.matching = { ...this.matching!, ...part };
    this.read = this.view = null;
  }

  /** @param heading  null where no column holds it */
  column(role: Role, heading: string | null): void {
    const { [role]: _, ...columns } = this.matching!.columns;
    this.match({ columns: heading === null ? columns : { ...columns, [role]: heading } });
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
    rememberMatching(this.beginning!.heading, this.matching!);
    const own = $state.snapshot(this.own()) as Ticket[];
    const request: Request = {
      kind: "read",
      catalog: this.catalog,
      file: this.table!.file,
      matching: this.matching!,
      own,
    };
    const answer = await this.#ask("reading", request);
    if (answer?.kind === "read") this.read = answer.read;
  }

  async fit(): Promise<void> {
    const columns = { ...this.matching!.columns, ...this.matching!.stopsAt };
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
