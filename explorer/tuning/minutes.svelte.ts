/** Tickets left out, worked before and after tuning: chosen by the tuning worker, shared out, counted, cancelled. */
import type { TicketsLeftOut } from "../../engine/learn/score/minutes.js";
import { minutesOf, type MinutesView, type PairRow } from "../../engine/learn/score/saved.js";
import { SharedWork, type Making } from "../race/shared.js";

const makeWorker: Making = () =>
  new Worker(new URL("./minutes-worker.ts", import.meta.url), { type: "module" });

/** Chooses tickets to leave out; null where another table overtook it. */
type LeaveOut = (wanted: number) => Promise<TicketsLeftOut | { failure: string } | null>;

export class RunningMinutes {
  /** how many tickets are asked for; stays from table to table */
  wanted = $state(20);
  state: "waiting" | "choosing" | "working" | "done" | "cancelled" | "failed" = $state("waiting");
  failure: string | null = $state(null);
  /** tickets worked, and how many there are */
  done = $state(0);
  of = $state(0);
  /** of the last run that came to its end; null where too few machines could be made, too */
  view: MinutesView | null = $state.raw(null);
  readonly #work: SharedWork<{ left: TicketsLeftOut }, PairRow>;
  #rows: PairRow[] = [];
  #asked = 0;

  constructor(
    private readonly leaveOut: LeaveOut,
    cores: number,
    make: Making = makeWorker,
  ) {
    this.#work = new SharedWork(cores, make);
  }

  async start(): Promise<void> {
    this.#end();
    const asked = this.#asked;
    Object.assign(this, { state: "choosing", failure: null, done: 0, of: 0 });
    const left = await this.leaveOut(this.wanted);
    if (asked !== this.#asked) return; // cancelled meanwhile
    if (left === null) this.clear();
    else if ("failure" in left) this.#fail(left.failure);
    else this.#share(left);
  }

  /** What is done by then is not kept: tickets that are soon done would count for more than others. */
  cancel(): void {
    this.#end();
    this.state = "cancelled";
  }

  /** As if it had never been asked: the figures were of another table. */
  clear(): void {
    this.#end();
    Object.assign(this, { state: "waiting", failure: null, done: 0, of: 0, view: null });
  }

  #share(left: TicketsLeftOut): void {
    this.state = "working";
    this.of = left.tickets.length;
    this.#rows = [];
    this.#work.start({ left }, this.of, {
      row: (row) => (this.done = this.#rows.push(row)),
      done: () => this.#finish(),
      failed: (why) => this.#fail(why),
    });
  }

  #finish(): void {
    this.#end();
    this.view = minutesOf(this.#rows);
    this.state = "done";
  }

  #fail(why: string): void {
    this.#end();
    this.failure = why;
    this.state = "failed";
  }

  #end(): void {
    this.#asked++;
    this.#work.end();
  }
}
