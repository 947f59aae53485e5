/**
 * Tickets as they come, counted into buckets, so that some of them can be left out later: quarters of a year where the table
 * tells days, else five folds by the hash of the ticket's number. Confirmed tickets are kept one by one as well, to be asked
 * about when they are left out; where there are too many, a steady sample of them.
 */
import { addMinutes, addTicket, emptyTally, sumOf, type Tally } from "./tally/tally.js";
import { hashOf, Seen } from "./table/seen.js";
import { Patterns, type Pattern, type Tickets } from "./patterns.js";
import type { Material } from "./fit/fit.js";
import type { Graded } from "./fit/graded.js";
import type { PastTicket, Space } from "./space.js";

export const FOLDS = 5;
/** Patterns of unconfirmed tickets that are kept: beyond, memory is not a few dozen megabytes any more. */
const ROOM = 200_000;
const MOST_KEPT = 20_000;

/** A confirmed ticket that can be asked about. */
export interface Kept {
  pattern: Pattern;
  cause: number;
  bucket: number;
  hash: number;
}

export class Gathered {
  /** names of the buckets: quarters such as 2025-2, folds, or "undated" */
  readonly buckets: string[] = [];
  readonly tallies: Tally[] = [];
  readonly records: { ticket: Tickets; bucket: number }[] = [];
  readonly graded: { graded: Graded; bucket: number }[] = [];
  /** numbers of the tickets gathered: one that comes again, in whatever file, does not count again */
  readonly seen = new Seen();
  readonly #index = new Map<string, number>();
  readonly #patterns = new Patterns(ROOM);
  #kept: Kept[] = [];
  #every = 1;

  constructor(
    readonly space: Space,
    private readonly isDated: boolean,
  ) {}

  add(ticket: PastTicket, key: string): void {
    const hash = hashOf(key);
    const bucket = this.#bucketOf(ticket.closed, hash);
    addTicket(this.tallies[bucket]!, ticket, this.space);
    if (ticket.cause < 0) return this.#patterns.add(ticket, bucket);
    if (sampleOf(hash) % this.#every === 0) this.#keep(ticket, bucket, hash);
  }

  /** A closed ticket of our own that was never confirmed. @param record  ln likelihood by cause */
  addRecord(record: Float64Array, closed: string, key: string): void {
    const bucket = this.#bucketOf(closed, hashOf(key));
    this.tallies[bucket]!.unconfirmed++;
    this.records.push({ ticket: { starts: -1, stops: -1, at: [], events: null, weight: 1, record }, bucket });
  }

  /** Starts of a confirmed ticket that is counted elsewhere without them: they were no nominal ones. */
  addGraded(graded: Graded, closed: string, key: string): void {
    this.graded.push({ graded, bucket: this.#bucketOf(closed, hashOf(key)) });
  }

  /** A repair that took so long, of a ticket that is counted elsewhere. */
  addMinutes(repair: number, minutes: number, closed: string): void {
    addMinutes(this.tallies[this.#bucketOf(closed, 0)]!, repair, minutes);
  }

  /** Counts that came already added up. */
  addTally(tally: Tally): void {
    const bucket = this.#bucketOf("", 0);
    this.tallies[bucket] = sumOf([this.tallies[bucket]!, tally], this.space);
  }

  /** Unconfirmed tickets that there was no room for. */
  get left(): number {
    return this.#patterns.left;
  }

  /** The confirmed tickets that were kept one by one, and of how many each is one. */
  get kept(): { tickets: readonly Kept[]; every: number } {
    return { tickets: this.#kept, every: this.#every };
  }

  all = (): Material => this.of(this.buckets.map((_, b) => b));

  of(buckets: readonly number[]): Material {
    const wanted = new Set(buckets);
    const records = this.records.filter(({ bucket }) => wanted.has(bucket)).map(({ ticket }) => ticket);
    return {
      tally: sumOf(
        buckets.map((b) => this.tallies[b]!),
        this.space,
      ),
      unconfirmed: [...this.#patterns.in(wanted), ...records],
      graded: this.graded.filter(({ bucket }) => wanted.has(bucket)).map(({ graded }) => graded),
    };
  }

  #bucketOf(closed: string, hash: number): number {
    const name = !this.isDated ? `fold ${(hash % FOLDS) + 1}` : closed === "" ? "undated" : quarterOf(closed);
    let bucket = this.#index.get(name);
    if (bucket === undefined) {
      bucket = this.buckets.push(name) - 1;
      this.#index.set(name, bucket);
      this.tallies.push(emptyTally(this.space));
    }
    return bucket;
  }

  /** Which are kept depends on the tickets alone, not on their order. */
  #keep(ticket: PastTicket, bucket: number, hash: number): void {
    this.#kept.push({ pattern: this.#patterns.of(ticket), cause: ticket.cause, bucket, hash });
    if (this.#kept.length <= MOST_KEPT) return;
    this.#every *= 2;
    this.#kept = this.#kept.filter((k) => sampleOf(k.hash) % this.#every === 0);
  }
}

/** Bits of the hash that have no part in the fold. */
const sampleOf = (hash: number): number => Math.floor(hash / 2 ** 21) % 2 ** 20;

const quarterOf = (day: string): string => `${day.slice(0, 4)}-${Math.ceil(Number(day.slice(5, 7)) / 3)}`;
