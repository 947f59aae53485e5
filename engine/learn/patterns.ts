/**
 * What a ticket shows apart from its cause: counts of starts, stops by stage, what had happened before. Tickets that show the
 * same are kept once, with their number in each bucket: a million rows have some ten thousand patterns.
 */
import type { PastTicket } from "./space.js";

export interface Pattern {
  /** −1 where nobody counted */
  starts: number;
  stops: number;
  /** stops by stage, as far as told */
  at: readonly [stage: number, number: number][];
  /** null where not told */
  events: readonly number[] | null;
  /** ln of the likelihood by cause that a full record has, in place of counts; length C */
  record?: Float64Array;
}

/** A pattern with a number of tickets. */
export interface Tickets extends Pattern {
  weight: number;
}

/**
 * The same list of stops, or of events, is the same object in every pattern: what is worked out for a list once serves every
 * pattern that has it.
 */
export class Lists {
  readonly #at = new Map<string, Pattern["at"]>();
  readonly #events = new Map<string, readonly number[]>();

  patternOf({ starts, stops, at, events }: PastTicket): Pattern {
    return { starts, stops, at: one(this.#at, at), events: events && one(this.#events, events) };
  }
}

function one<T extends readonly unknown[]>(known: Map<string, T>, list: T): T {
  const key = list.join(";");
  const same = known.get(key);
  if (same) return same;
  known.set(key, list);
  return list;
}

export class Patterns {
  readonly #known = new Map<string, { pattern: Pattern; by: number[] }>();
  /** tickets for which there was no more room */
  left = 0;

  constructor(private readonly room: number) {}

  add(pattern: Pattern, bucket: number): void {
    const { starts, stops, at, events } = pattern;
    const key = `${stops} ${starts} ${at.join(";")} ${events === null ? "?" : events.join(",")}`;
    let known = this.#known.get(key);
    if (!known) {
      if (this.#known.size >= this.room) return void this.left++;
      this.#known.set(key, (known = { pattern, by: [] }));
    }
    while (known.by.length <= bucket) known.by.push(0);
    known.by[bucket]!++;
  }

  /** Those of some buckets. */
  of(buckets: ReadonlySet<number>): Tickets[] {
    const list: Tickets[] = [];
    for (const { pattern, by } of this.#known.values()) {
      let weight = 0;
      by.forEach((n, bucket) => (weight += buckets.has(bucket) ? n : 0));
      if (weight > 0) list.push({ ...pattern, weight });
    }
    return list;
  }
}
