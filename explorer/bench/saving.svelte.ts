/**
 * Saves one ticket, one transaction at a time: what is pressed while one is under way goes with the next.
 */
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import type { Patch } from "../store/patch.js";
import type { Kept, Save, SaveAnswer } from "../store/tickets.js";
import { troubleOf } from "../store/trouble.js";
import { marksOf } from "./ticket-edits.js";

/** A ticket and the steps made on it, of which the first `done` hold. */
export interface Draft {
  ticket: Ticket;
  steps: Patch[];
  done: number;
}

interface Outside {
  save(save: Save): Promise<SaveAnswer>;
  /** the ticket as it is now */
  read(): Draft;
  /** another window has saved the ticket since */
  meet(theirs: Kept): void;
}

export class Saving {
  /** the ticket as the database holds it, on the disk */
  saved: Ticket = $state.raw()!;
  failure: string | null = $state(null);
  revision: number;
  readonly #outside: Outside;
  /** steps before this one are stored */
  #from: number;
  #busy = false;
  #again = false;

  readonly marks: ReadonlySet<Entry | Trial> = $derived(marksOf(this.saved));

  constructor(kept: Draft & { revision: number }, outside: Outside) {
    this.saved = kept.ticket;
    this.revision = kept.revision;
    this.#from = kept.steps.length;
    this.#outside = outside;
  }

  get idle(): boolean {
    return !this.#busy && this.#outside.read().ticket === this.saved;
  }

  /** Asks for a save; `from` is the first step that differs from what was saved last. */
  async ask(from: number): Promise<void> {
    this.#from = Math.min(this.#from, from);
    this.#again = true;
    if (this.#busy) return;
    this.#busy = true;
    try {
      while (this.#again) await this.#once();
      this.failure = null;
    } catch (error) {
      this.failure = troubleOf(error);
    } finally {
      this.#busy = false;
    }
  }

  async #once(): Promise<void> {
    this.#again = false;
    const draft = this.#outside.read();
    const from = this.#from;
    this.#from = draft.steps.length;
    try {
      const answer = await this.#outside.save({ ...draft, base: this.revision, from });
      if ("theirs" in answer) this.#meet(answer.theirs);
      else [this.saved, this.revision] = [draft.ticket, answer.revision];
    } catch (error) {
      this.#from = Math.min(from, this.#from);
      throw error;
    }
  }

  /** Takes what another window saved; what is pending here is put on top of it and saved again. */
  #meet(theirs: Kept): void {
    this.#outside.meet(theirs);
    this.take(theirs);
    this.#again = this.#outside.read().ticket !== this.saved;
  }

  take({ stored, steps }: Kept): void {
    this.saved = stored.ticket;
    this.revision = stored.revision;
    this.#from = Math.min(steps.length, stored.done);
  }
}
