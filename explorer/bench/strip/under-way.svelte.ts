/** A test that was started, with its clock: the minutes it really takes are kept, so that estimates can learn from them. */
import type { Ticket } from "../../../engine/ticket/schema.js";
import type { TestView } from "../../../engine/weighing.js";
import { addMinutes, CLEAN, type Draft } from "../ticket-edits.js";

const MINUTE = 60_000;

/** What is left of a test over a reload. */
export interface KeptUnderWay {
  test: TestView;
  begun: string;
  since: string | null;
  before: number;
}

export class UnderWay {
  readonly test: TestView;
  /** ISO 8601 */
  readonly begun: string;
  /** when the clock was last set going; null while it stands, because nobody stands by */
  since: string | null = $state(null);
  /** minutes before that */
  before = $state(0);

  constructor(test: TestView, begun: string) {
    this.test = test;
    this.begun = this.since = begun;
  }

  static from({ test, begun, since, before }: KeptUnderWay): UnderWay {
    const again = new UnderWay(test, begun);
    again.since = since;
    again.before = before;
    return again;
  }
  get kept(): KeptUnderWay {
    return { test: this.test, begun: this.begun, since: this.since, before: this.before };
  }

  /** Minutes of work so far. */
  minutes(now: string): number {
    const running = this.since === null ? 0 : (Date.parse(now) - Date.parse(this.since)) / MINUTE;
    return this.before + Math.max(0, running);
  }
  /** As they are written down: to a tenth, and never nothing. */
  written(now: string): number {
    return Math.max(0.1, Math.round(10 * this.minutes(now)) / 10);
  }
  /** The ticket with them, at what the test had done. */
  writtenIn(ticket: Ticket, now: string): Ticket {
    return addMinutes(ticket, this.written(now), this.begun);
  }
  stand(now: string): void {
    this.before = this.minutes(now);
    this.since = null;
  }
  goOn(now: string): void {
    this.since ??= now;
  }

  /** Whether the row of starts that it asked for has been made since it began. */
  isOver(ticket: Ticket): boolean {
    const { kind, n, stopEarly } = this.test;
    if (kind === "finding" || kind === "reading") return false;
    const made = ticket.entries.flatMap((entry) =>
      entry.kind === "starts" && entry.by !== "owner"
        ? entry.trials.filter((t) => t.voided === undefined && t.at !== undefined && t.at >= this.begun)
        : [],
    );
    const count = made.reduce((sum, trial) => sum + (trial.n ?? 1), 0);
    return count >= n || (stopEarly && made.some((trial) => trial.outcome !== CLEAN));
  }

  /** Whether an entry is what it was to bring. */
  isAnsweredBy(draft: Draft): boolean {
    const { finding, reading } = this.test;
    const same = (asked: { id: string; on: string | null } | null, id: string, on: string | undefined) =>
      asked !== null && asked.id === id && asked.on === (on ?? null);
    if (draft.kind === "finding") return same(finding, draft.finding, draft.on);
    return draft.kind === "reading" && same(reading, draft.reading, draft.on);
  }
}
