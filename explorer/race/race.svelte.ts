/** A race under way: its tickets shared out among workers, counted as they are done, and stopped when the reader says so. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { raceOf, type Race, type RaceOptions, type Row } from "../../engine/practice/race.js";
import type { Share, Told } from "./worker.js";

type Making = () => Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;

const makeWorker: Making = () => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

/** The page is told of new rows this often, in milliseconds. */
const EVERY = 400;

export interface RaceAsked {
  catalog: Catalog;
  options: RaceOptions;
}

export class RunningRace {
  state: "waiting" | "running" | "done" | "stopped" | "failed" = $state("waiting");
  failure: string | null = $state(null);
  /** what the rows are of */
  asked: RaceAsked | null = $state.raw(null);
  rows: readonly Row[] = $state.raw([]);
  /** what they add up to, once it is over */
  race: Race | null = $state.raw(null);
  #workers: ReturnType<Making>[] = [];
  #new: Row[] = [];
  #shownAt = 0;

  constructor(
    private readonly cores: number,
    private readonly make: Making = makeWorker,
    private readonly clock: () => number = () => performance.now(),
  ) {}

  start(asked: RaceAsked): void {
    this.#end();
    Object.assign(this, { state: "running", failure: null, asked, rows: [], race: null });
    const stride = Math.max(1, Math.min(this.cores, asked.options.tickets));
    let open = stride;
    this.#workers = Array.from({ length: stride }, (_, from) => {
      const worker = this.make();
      worker.onmessage = ({ data }: MessageEvent<Told>) => {
        if ("row" in data) this.#take(data.row);
        else if ("failure" in data) this.#fail(data.failure);
        else if (--open === 0) this.#finish("done");
      };
      worker.onerror = (event) => this.#fail(event.message || "a worker could not be started");
      worker.postMessage({ ...asked, from, stride } satisfies Share);
      return worker;
    });
  }

  /** What is done by then is kept. */
  stop(): void {
    if (this.state === "running") this.#finish("stopped");
  }

  #take(row: Row): void {
    this.#new.push(row);
    if (this.clock() - this.#shownAt >= EVERY) this.#show();
  }

  #show(): void {
    this.rows = [...this.rows, ...this.#new];
    this.#new = [];
    this.#shownAt = this.clock();
  }

  #finish(how: "done" | "stopped"): void {
    this.#end();
    this.#show();
    const { catalog, options } = this.asked!;
    if (this.rows.length > 0)
      this.race = raceOf(catalog, { ...options, tickets: this.rows.length }, this.rows);
    this.state = how;
  }

  #fail(why: string): void {
    this.#end();
    this.failure = why;
    this.state = "failed";
  }

  #end(): void {
    for (const worker of this.#workers) worker.terminate();
    this.#workers = [];
  }
}
