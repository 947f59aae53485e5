/**
 * A practice machine on the bench: it answers instead of the technician. Opening the ticket makes one; what it knows of
 * the truth stays in its worker.
 */
import type { Envelope } from "../../engine/practice/envelope.js";
import type { Moment } from "../../engine/practice/moments.js";
import type { SoFar } from "../../engine/practice/session.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Bench } from "../bench/bench.svelte.js";
import { append, type Draft } from "../bench/ticket-edits.js";
import { isDoing, keepsAnswers, outcomeOf, withAnswer, withMinutes } from "./answers.js";
import type { Ask } from "./client.js";
import type { Doing } from "./messages.js";

export class Practice {
  readonly #bench: Bench;
  readonly #ask: Ask;

  /** an answer is awaited */
  busy = $state(false);
  /** why something was not done */
  refused: string | null = $state(null);
  /** what the machine did last, in words */
  said = $state("");
  /** what the record has taken; null until the machine has said so */
  soFar: SoFar | null = $state.raw(null);
  envelope: Envelope | null = $state.raw(null);
  moments: Moment[] | null = $state.raw(null);
  /** moves judged so far */
  judged: { done: number; of: number } | null = $state.raw(null);

  constructor(bench: Bench, ask: Ask) {
    this.#bench = bench;
    this.#ask = ask;
  }

  get hints(): number {
    return this.#bench.ticket.practice?.hints ?? 0;
  }
  get ending(): "release" | "return" | null {
    return this.#bench.ticket.practice?.ending ?? null;
  }
  /** a hint holds until something is done, here or after a reload */
  get isHinted(): boolean {
    return this.#bench.lastStep(isDoing)?.path.at(-1) === "hints";
  }

  /** May the record become this? Where not, the page says so. */
  allows(before: Ticket, after: Ticket): boolean {
    const allowed = keepsAnswers(before, after);
    this.refused = allowed ? null : "What this machine has answered stays in the record.";
    return allowed;
  }

  async do(doing: Doing): Promise<boolean> {
    if (this.busy || this.ending) return false;
    const ticket = this.#bench.ticket;
    this.busy = true;
    this.refused = null;
    try {
      const answer = await this.#ask({ ask: "do", ticket, doing });
      if ("issues" in answer) this.refused = answer.issues.map((x) => x.message).join("; ");
      else if (this.#bench.ticket !== ticket) this.refused = "The record changed meanwhile: ask again.";
      else {
        if (doing.kind === "start") {
          const outcome = outcomeOf(answer);
          this.said = this.#bench.words.outcome(outcome);
          this.#bench.press(outcome, (next) => withMinutes(next, answer));
        } else this.#bench.apply((now) => withAnswer(now, answer, this.#bench.now()));
        return true;
      }
    } catch (error) {
      this.refused = error instanceof Error ? error.message : String(error);
    } finally {
      this.busy = false;
    }
    return false;
  }

  /** Asks what this record has taken: a move is charged as it is made, and a reload forgets nothing. */
  async count(ticket: Ticket): Promise<void> {
    const counted = await this.#ask({ ask: "soFar", ticket }).catch(() => null);
    if (counted && !("issues" in counted) && this.#bench.ticket === ticket) this.soFar = counted;
  }

  hint(): void {
    this.#bench.apply((ticket) => ({ ...ticket, practice: { ...ticket.practice!, hints: this.hints + 1 } }));
  }

  /** @param named  ids of causes, `unlisted`, or nothing */
  handOver(ending: "release" | "return", named: readonly string[]): void {
    const release: Draft = { kind: "release", at: this.#bench.now(), confirmed: [...named] };
    this.#bench.apply((ticket) => ({
      ...append(ticket, release),
      practice: { ...ticket.practice!, ending },
    }));
    void this.open();
  }

  /** The truth at once; where most was lost takes longer. */
  async open(): Promise<void> {
    const ticket = this.#bench.ticket;
    try {
      const opened = await this.#ask({ ask: "open", ticket });
      if ("issues" in opened) {
        this.refused = opened.issues.map((x) => x.message).join("; ");
        return;
      }
      this.envelope = opened.envelope;
      const found = await this.#ask({ ask: "moments", ticket }, (part) => (this.judged = part));
      if ("moments" in found) this.moments = found.moments;
    } catch (error) {
      this.refused = error instanceof Error ? error.message : String(error);
    }
  }
}
