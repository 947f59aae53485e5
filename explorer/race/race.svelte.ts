/** A race under way: its tickets shared out among workers, counted as they are done, and stopped when the reader says so. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { raceOf, type Race, type RaceOptions, type Row } from "../../engine/practice/race.js";
import { SharedWork, type Making } from "./shared.js";

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
  readonly #work: SharedWork<RaceAsked, Row>;
  #new: Row[] = [];
  #shownAt = 0;

  constructor(
    cores: number,
    make: Making = makeWorker,
    private readonly clock: () => number = () => performance.now(),
  ) {
    this.#work = new SharedWork(cores, make);
  }

  start(asked: RaceAsked): void {
    Object.assign(this, { state: "running", failure: null, asked, rows: [], race: null });
    this.#new = []; // of a race that broke off
    this.#work.start(asked, asked.options.tickets, {
      row: (row) => this.#take(row),
      done: () => this.#finish("done"),
      failed: (why) => this.#fail(why),
    });
  }

  /** What is done by then is kept, up to the first ticket that is still in work: a race of so many tickets. */
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
    this.#work.end();
    this.#show();
    this.rows = withoutGaps(this.rows);
    const { catalog, options } = this.asked!;
    if (this.rows.length > 0)
      this.race = raceOf(catalog, { ...options, tickets: this.rows.length }, this.rows);
    this.state = how;
  }

  #fail(why: string): void {
    this.#work.end();
    this.failure = why;
    this.state = "failed";
  }
}

/** In their order up to the first that is missing: workers are not equally far. */
function withoutGaps(rows: readonly Row[]): readonly Row[] {
  const sorted = [...rows].sort((x, y) => x.ticket - y.ticket);
  const gap = sorted.findIndex(({ ticket }, k) => ticket !== k);
  return gap < 0 ? sorted : sorted.slice(0, gap);
}
