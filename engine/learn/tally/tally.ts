/**
 * Counts that add up: everything that confirmed tickets teach. Tallies of two shops, or of two years, are added number by
 * number, and a tally made by a warehouse is as good as the rows it was made from.
 */
import type { PastTicket, Space } from "../space.js";

export interface Tally {
  /** confirmed tickets by cause; length C */
  tickets: Float64Array;
  unconfirmed: number;
  /** tickets with k of n starts stopped, by cause: "cause k n onlyShown" → tickets */
  starts: Map<string, number>;
  /** stops told by stage; C × S */
  stops: Float64Array;
  /** tickets of which it was told what had happened before; length C */
  told: Float64Array;
  /** tickets that an event came before; C × E */
  events: Float64Array;
  /** repairs that did not cure, and that did; R × C × 2 */
  cures: Float64Array;
  /** of repairs: number, Σ ln minutes, Σ (ln minutes)²; R × 3 */
  minutes: Float64Array;
  /** unit-years over which all failures were counted; length C, 0 where unknown */
  years: Float64Array;
  /** ages told: number and sum of years */
  ages: [number, number];
  /** days of the first and the last ticket, ISO 8601; empty where none was told */
  first: string;
  last: string;
}

export function emptyTally({ causes, stages, events, repairs }: Space): Tally {
  const [C, S, E, R] = [causes.length, stages.length, events.length, repairs.length];
  return {
    tickets: new Float64Array(C),
    unconfirmed: 0,
    starts: new Map(),
    stops: new Float64Array(C * S),
    told: new Float64Array(C),
    events: new Float64Array(C * E),
    cures: new Float64Array(R * C * 2),
    minutes: new Float64Array(R * 3),
    years: new Float64Array(C),
    ages: [0, 0],
    first: "",
    last: "",
  };
}

const more = (counts: Float64Array, at: number, by: number) => void (counts[at] = counts[at]! + by);

/** Counts one ticket in, in place. */
export function addTicket(tally: Tally, ticket: PastTicket, { causes, stages, events }: Space): void {
  const { cause, repair, minutes, closed, age } = ticket;
  if (closed !== "") {
    if (tally.first === "" || closed < tally.first) tally.first = closed;
    if (closed > tally.last) tally.last = closed;
  }
  if (age >= 0) tally.ages = [tally.ages[0] + 1, tally.ages[1] + age];
  addMinutes(tally, repair, minutes);
  if (cause < 0) return void tally.unconfirmed++;
  more(tally.tickets, cause, 1);
  if (ticket.starts > 0) {
    const key = startsKey(cause, ticket.stops, ticket.starts, ticket.onlyShown);
    tally.starts.set(key, (tally.starts.get(key) ?? 0) + 1);
  }
  for (const [s, n] of ticket.at) more(tally.stops, cause * stages.length + s, n);
  if (ticket.events) {
    more(tally.told, cause, 1);
    for (const e of ticket.events) more(tally.events, cause * events.length + e, 1);
  }
  if (repair >= 0 && ticket.cured >= 0)
    more(tally.cures, (repair * causes.length + cause) * 2 + ticket.cured, 1);
}

/** One repair that took so long; nothing where either is not told. */
export function addMinutes(tally: Tally, repair: number, minutes: number): void {
  if (!(repair >= 0 && minutes > 0)) return;
  const log = Math.log(minutes);
  more(tally.minutes, 3 * repair, 1);
  more(tally.minutes, 3 * repair + 1, log);
  more(tally.minutes, 3 * repair + 2, log * log);
}

export const startsKey = (cause: number, stops: number, starts: number, onlyShown: boolean): string =>
  `${cause} ${stops} ${starts} ${onlyShown ? 1 : 0}`;

/** The sum of tallies; none of them is changed. */
export function sumOf(tallies: readonly Tally[], space: Space): Tally {
  const sum = emptyTally(space);
  for (const t of tallies) {
    for (const key of ["tickets", "stops", "told", "events", "cures", "minutes", "years"] as const)
      t[key].forEach((n, at) => more(sum[key], at, n));
    for (const [key, n] of t.starts) sum.starts.set(key, (sum.starts.get(key) ?? 0) + n);
    sum.unconfirmed += t.unconfirmed;
    sum.ages = [sum.ages[0] + t.ages[0], sum.ages[1] + t.ages[1]];
    if (t.first !== "" && (sum.first === "" || t.first < sum.first)) sum.first = t.first;
    if (t.last > sum.last) sum.last = t.last;
  }
  return sum;
}
