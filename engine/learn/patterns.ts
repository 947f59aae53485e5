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
class Lists<T extends readonly unknown[]> {
  readonly #numbers = new Map<string, number>();
  readonly #lists: T[] = [];

  /** The list's number, so that a pattern is a few small numbers. */
  numberOf(list: T): number {
    const key = list.join(";");
    let number = this.#numbers.get(key);
    if (number === undefined) this.#numbers.set(key, (number = this.#lists.push(list) - 1));
    return number;
  }

  at = (number: number): T => this.#lists[number]!;
}

const NOT_TOLD = -1;

export class Patterns {
  readonly #at = new Lists<Pattern["at"]>();
  readonly #events = new Lists<readonly number[]>();
  readonly #index = new Map<string, number>();
  readonly #known: Pattern[] = [];
  /** by bucket: tickets of each pattern, as far as the bucket has any; objects for each would take ten times the room */
  readonly #tickets: Uint32Array[] = [];
  /** tickets for which there was no more room */
  left = 0;

  constructor(private readonly room: number) {}

  /** What a ticket shows, its lists shared. */
  of({ starts, stops, at, events }: PastTicket): Pattern {
    return this.#pattern(starts, stops, this.#at.numberOf(at), this.#numberOfEvents(events));
  }

  add({ starts, stops, at, events }: PastTicket, bucket: number): void {
    const [a, e] = [this.#at.numberOf(at), this.#numberOfEvents(events)];
    const key = `${stops} ${starts} ${a} ${e}`;
    let index = this.#index.get(key);
    if (index === undefined) {
      if (this.#known.length >= this.room) return void this.left++;
      index = this.#known.push(this.#pattern(starts, stops, a, e)) - 1;
      this.#index.set(key, index);
    }
    this.#ticketsOf(bucket, index)[index]!++;
  }

  /** Those of some buckets. */
  in(buckets: ReadonlySet<number>): Tickets[] {
    const wanted = this.#tickets.filter((_, bucket) => buckets.has(bucket));
    return this.#known.flatMap(({ starts, stops, at, events }, index) => {
      let weight = 0;
      for (const tickets of wanted) weight += tickets[index] ?? 0;
      return weight > 0 ? [{ starts, stops, at, events, weight }] : [];
    });
  }

  #numberOfEvents = (events: readonly number[] | null): number =>
    events === null ? NOT_TOLD : this.#events.numberOf(events);

  #pattern = (starts: number, stops: number, a: number, e: number): Pattern => ({
    starts,
    stops,
    at: this.#at.at(a),
    events: e === NOT_TOLD ? null : this.#events.at(e),
  });

  #ticketsOf(bucket: number, index: number): Uint32Array {
    while (this.#tickets.length <= bucket) this.#tickets.push(new Uint32Array(1 << 10));
    const tickets = this.#tickets[bucket]!;
    if (index < tickets.length) return tickets;
    const larger = new Uint32Array(2 * Math.max(tickets.length, index));
    larger.set(tickets);
    return (this.#tickets[bucket] = larger);
  }
}
