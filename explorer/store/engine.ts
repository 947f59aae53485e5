/**
 * The engine behind a worker. One request is under way at a time; of those that wait only the latest is kept, and the
 * ones it overtakes are answered with null: a page never waits for an answer it no longer wants.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { EntryView } from "../../engine/weighing.js";
import type { AdviceAnswer, Answer, ParseAnswer, Request, Wanted, WeighAnswer } from "./messages.js";
import { diff } from "./patch.js";

interface Job {
  request: () => Request;
  resolve: (answer: Whole | null) => void;
  reject: (error: Error) => void;
}

/** An answer with nothing left out. */
type Whole = WeighAnswer | AdviceAnswer | ParseAnswer;

/** What an engine needs of a worker; a test hands in its own. */
export type Postable = Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;

const realWorker = (): Postable => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

export class Engine {
  #make: () => Postable;
  #worker: Postable | null = null;
  /** what the worker was told last, and what it told */
  #catalog: Catalog | null = null;
  #ticket: Ticket | null = null;
  #views: EntryView[] = [];
  #running: Job | null = null;
  #waiting: Job | null = null;

  constructor(make: () => Postable = realWorker) {
    this.#make = make;
  }

  weigh(catalog: Catalog, ticket: Ticket, wanted: "belief" | "everything"): Promise<WeighAnswer | null> {
    return this.#ask(() => this.#told(catalog, ticket, wanted)) as Promise<WeighAnswer | null>;
  }

  advise(catalog: Catalog, ticket: Ticket): Promise<AdviceAnswer | null> {
    return this.#ask(() => this.#told(catalog, ticket, "advice")) as Promise<AdviceAnswer | null>;
  }

  /** What may become of the ticket asked about last; null: another request waits, or another ticket has come. */
  async foresee(catalog: Catalog, ticket: Ticket): Promise<WeighAnswer | null> {
    if (this.#waiting || catalog !== this.#catalog || ticket.id !== this.#ticket?.id) return null;
    return this.weigh(catalog, ticket, "belief");
  }

  /** @param catalog  of the ticket, where it is to be looked at as one of its kind */
  parse(data: unknown, catalog?: Catalog): Promise<ParseAnswer | null> {
    return this.#ask(() => ({
      kind: "parse",
      data,
      ...(catalog && { catalog }),
    })) as Promise<ParseAnswer | null>;
  }

  /** Stops the worker; the next request starts a new one. */
  close(): void {
    this.#worker?.terminate();
    this.#forget();
    for (const job of [this.#running, this.#waiting]) job?.resolve(null);
    this.#running = this.#waiting = null;
  }

  #told(catalog: Catalog, ticket: Ticket, wanted: Wanted): Request {
    const before = this.#ticket?.id === ticket.id ? this.#ticket : null;
    const step = before && diff(before, ticket);
    const fresh = catalog === this.#catalog ? null : catalog;
    [this.#catalog, this.#ticket] = [catalog, ticket];
    return { kind: "weigh", ticket: !before ? { whole: ticket } : step && { step }, wanted, catalog: fresh };
  }

  #forget(): void {
    this.#worker = this.#catalog = this.#ticket = null;
    this.#views = [];
  }

  #ask(request: () => Request): Promise<Whole | null> {
    return new Promise((resolve, reject) => {
      this.#waiting?.resolve(null);
      this.#waiting = { request, resolve, reject };
      this.#next();
    });
  }

  #next(): void {
    if (this.#running || !this.#waiting) return;
    this.#running = this.#waiting;
    this.#waiting = null;
    this.#worker ??= this.#start();
    this.#worker.postMessage(this.#running.request());
  }

  #start(): Postable {
    const worker = this.#make();
    worker.onmessage = ({ data }: MessageEvent<Answer>) => this.#finish(data);
    worker.onerror = (event) => {
      worker.terminate();
      this.#forget(); // a broken worker is not asked again
      this.#finish({ failure: event.message || "the worker could not be started" });
    };
    return worker;
  }

  #finish(answer: Answer): void {
    const job = this.#running;
    this.#running = null;
    if ("failure" in answer) {
      this.#catalog = this.#ticket = null; // it may have been one of them
      job?.reject(new Error(answer.failure));
    } else job?.resolve(this.#whole(answer));
    this.#next();
  }

  #whole(answer: Exclude<Answer, { failure: string }>): Whole {
    if (!("weighing" in answer)) return answer;
    const { weighing, same } = answer;
    this.#views = [...this.#views.slice(0, same), ...weighing.entries];
    return { weighing: { ...weighing, entries: this.#views } };
  }
}
