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

export class Patterns {
  readonly #known = new Map<string, { pattern: Pattern; by: number[] }>();
  /** tickets for which there was no more room */
  left = 0;

  constructor(private readonly room: number) {}

  add({ starts, stops, at, events }: PastTicket, bucket: number): void {
    const key = `${stops} ${starts} ${at.join(";")} ${events === null ? "?" : events.join(",")}`;
    let known = this.#known.get(key);
    if (!known) {
      if (this.#known.size >= this.room) return void this.left++;
      this.#known.set(key, (known = { pattern: { starts, stops, at, events }, by: [] }));
    }
    known.by[bucket] = (known.by[bucket] ?? 0) + 1;
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
