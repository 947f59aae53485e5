/**
 * The worksheet of one record: owns the worker that works its cells out, and stops it where one takes too long. The
 * worker, and mathjs with it, is fetched when the first cell is there.
 */
import type { Answer } from "./calculator.js";
import type { Cell } from "./facts.js";
import type { Said } from "./worker.js";

/** No cell may take longer than this, in milliseconds. */
export const LIMIT = 1000;

export type Postable = Pick<Worker, "postMessage" | "terminate" | "onmessage" | "onerror">;
const realWorker = (): Postable => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

export class Worksheet {
  /** entry id → its answer; of an older record while a new one is worked out */
  answers: Readonly<Record<string, Answer>> = $state.raw({});
  readonly #make: () => Postable;
  #worker: Postable | null = null;
  #ready = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #asked = "";
  #running: Cell[] | null = null;
  /** what came in while a run is under way */
  #waiting: Cell[] | null = null;
  #left: string[] = [];

  constructor(make: () => Postable = realWorker) {
    this.#make = make;
  }

  run(cells: Cell[]): void {
    const asked = JSON.stringify(cells);
    if (asked === this.#asked) return;
    this.#asked = asked;
    this.#waiting = cells;
    this.answers = Object.fromEntries(
      Object.entries(this.answers).filter(([id]) => cells.some((cell) => cell.id === id)),
    );
    this.#next();
  }

  close(): void {
    clearTimeout(this.#timer);
    this.#worker?.terminate();
    this.#worker = this.#running = null;
    this.#ready = false;
  }

  #next(): void {
    if (this.#running || !this.#waiting) return;
    const cells = this.#waiting;
    this.#waiting = null;
    if (cells.length > 0) this.#post(cells);
  }

  #post(cells: Cell[]): void {
    this.#running = cells;
    this.#left = cells.map((cell) => cell.id);
    this.#worker ??= this.#start();
    if (this.#ready) this.#begin();
  }

  #begin(): void {
    this.#worker!.postMessage(this.#running);
    this.#watch();
  }

  #start(): Postable {
    const worker = this.#make();
    worker.onmessage = ({ data }: MessageEvent<Said>) => this.#hear(data);
    worker.onerror = () => this.#stop("the calculator could not be started");
    return worker;
  }

  #hear(said: Said): void {
    clearTimeout(this.#timer);
    if ("ready" in said) {
      this.#ready = true;
      if (this.#running) this.#begin();
    } else if ("done" in said) {
      this.#running = null;
      this.#next();
    } else {
      this.#put(said.id, said.answer);
      this.#watch();
    }
  }

  #put(id: string, answer: Answer): void {
    this.answers = { ...this.answers, [id]: answer };
    this.#left = this.#left.filter((other) => other !== id);
  }

  #watch(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(
      () => this.#stop(`it took longer than ${LIMIT / 1000} s and was stopped`),
      LIMIT,
    );
  }

  /** The cell that was being worked out gets the blame; the others are worked out again without it. */
  #stop(error: string): void {
    const [guilty] = this.#left;
    const cells = this.#running ?? [];
    this.close();
    if (guilty === undefined) return;
    this.#put(guilty, [{ line: null, error }]);
    const rest = cells.filter((cell) => cell.id !== guilty);
    this.#waiting ??= rest;
    this.#next();
  }
}
