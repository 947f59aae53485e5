/**
 * The engine behind a worker. One request is under way at a time; of those that wait only the latest is kept, and the
 * ones it overtakes are answered with null: a page never waits for an answer it no longer wants.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Answer, ParseAnswer, Request, WeighAnswer } from "./messages.js";

interface Job {
  request: () => Request;
  resolve: (answer: Answer | null) => void;
  reject: (error: Error) => void;
}

/** What an engine needs of a worker; a test hands in its own. */
export type Postable = Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;

const realWorker = (): Postable => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

export class Engine {
  #make: () => Postable;
  #worker: Postable | null = null;
  #known: Catalog | null = null;
  #running: Job | null = null;
  #waiting: Job | null = null;

  constructor(make: () => Postable = realWorker) {
    this.#make = make;
  }

  weigh(catalog: Catalog, ticket: Ticket, advice: boolean | "next"): Promise<WeighAnswer | null> {
    const request = (): Request => {
      const fresh = catalog === this.#known ? null : catalog;
      this.#known = catalog;
      return { kind: "weigh", ticket, advice, catalog: fresh };
    };
    return this.#ask(request) as Promise<WeighAnswer | null>;
  }

  parse(data: unknown): Promise<ParseAnswer | null> {
    return this.#ask(() => ({ kind: "parse", data })) as Promise<ParseAnswer | null>;
  }

  /** Stops the worker; the next request starts a new one. */
  close(): void {
    this.#worker?.terminate();
    this.#worker = this.#known = null;
    for (const job of [this.#running, this.#waiting]) job?.resolve(null);
    this.#running = this.#waiting = null;
  }

  #ask(request: () => Request): Promise<Answer | null> {
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
      this.#worker = this.#known = null; // a broken worker is not asked again
      this.#finish({ failure: event.message || "the worker could not be started" });
    };
    return worker;
  }

  #finish(answer: Answer): void {
    const job = this.#running;
    this.#running = null;
    if ("failure" in answer) {
      this.#known = null; // it may have been the catalog
      job?.reject(new Error(answer.failure));
    } else job?.resolve(answer);
    this.#next();
  }
}
