/** One lesson on the page: where its controls stand, and what the engine says to that. */
import type { ControlValues, Lesson } from "../../engine/practice/lesson/schema.js";
import { valuesOf } from "../../engine/practice/lesson/controls.js";
import { Caller } from "../store/caller.js";
import type { LessonAnswer } from "./messages.js";

const makeWorker = () => new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });

export class OpenLesson {
  values: ControlValues = $state.raw({});
  answer: LessonAnswer | null = $state.raw(null);
  failure: string | null = $state(null);
  /** what is shown is of controls that have moved since */
  stale = $state(true);
  #caller = new Caller(makeWorker);
  #asking = false;

  constructor(readonly lesson: Lesson) {
    this.values = valuesOf(lesson);
    void this.#ask();
  }

  set(id: string, value: number): void {
    if (!Number.isFinite(value)) return;
    this.values = { ...this.values, [id]: value };
    void this.#ask();
  }

  reset(): void {
    this.values = valuesOf(this.lesson);
    void this.#ask();
  }

  close(): void {
    this.#caller.close();
  }

  /** One question at a time; a control that moved meanwhile is asked about next. */
  async #ask(): Promise<void> {
    this.stale = true;
    if (this.#asking) return;
    this.#asking = true;
    try {
      for (let asked: ControlValues | null = null; asked !== this.values;) {
        asked = this.values;
        const answer = await this.#caller.ask<LessonAnswer>({ lesson: this.lesson, values: { ...asked } });
        this.answer = answer;
      }
      this.failure = null;
      this.stale = false;
    } catch (error) {
      this.failure = error instanceof Error ? error.message : String(error);
    } finally {
      this.#asking = false;
    }
  }
}
