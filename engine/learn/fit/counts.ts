/**
 * Tickets by cause. Confirmed ones count whole; a ticket whose cause was never confirmed counts for each cause by its posterior
 * share under the figures so far.
 */
import type { Space } from "../space.js";
import type { Tally } from "../tally/tally.js";
import type { Pattern, Tickets } from "../patterns.js";
import { logLikelihood, type Count, type Point } from "./betaBinomial.js";
import type { Hill } from "./climb.js";
import type { Figures } from "./figures.js";
import { gradedLikelihood, type Graded } from "./graded.js";
import { countKey, countOf, Mixture, normalised, roomFor, type Room } from "./mixture.js";

export interface Counts {
  tickets: Float64Array;
  stops: Float64Array;
  told: Float64Array;
  events: Float64Array;
  starts: Starts;
}

/** A share of a ticket that says next to nothing. */
const NOTHING = 1e-9;
const HARDLY = 1e-6;

/**
 * Starts and stops by cause. A cause's list is made when it is asked for: kept from pass to pass, the lists of all causes would
 * fill the memory with what the last pass left.
 */
export class Starts {
  constructor(
    private readonly confirmed: readonly Count[][],
    private readonly graded: readonly (readonly Graded[])[],
    private readonly shared: readonly (readonly [key: number, shares: Float64Array])[] = [],
  ) {}

  with(shared: readonly (readonly [number, Float64Array])[]): Starts {
    return new Starts(this.confirmed, this.graded, shared);
  }

  of(c: number): Count[] {
    const list = [...this.confirmed[c]!];
    for (const [key, shares] of this.shared)
      if (shares[c]! > NOTHING) list.push({ ...countOf(key), onlyShown: false, weight: shares[c]! });
    return list;
  }

  /** Tickets that say something of the cause's chance to show. */
  ticketsOf(c: number): number {
    const counted = this.of(c).reduce((n, x) => n + (x.onlyShown && x.stops === 0 ? 0 : x.weight), 0);
    return counted + this.graded[c]!.length;
  }

  isCounted(c: number): boolean {
    return (
      this.graded[c]!.length > 0 ||
      this.confirmed[c]!.some((x) => x.weight > HARDLY && !(x.onlyShown && x.stops === 0)) ||
      this.shared.some(([, shares]) => shares[c]! > HARDLY)
    );
  }

  /** Σ ln P of the cause's starts, as a function of its rate. */
  hillOf(c: number): (x: Point) => Hill {
    const [counts, graded] = [this.of(c), this.graded[c]!];
    return (x) => {
      const { value, gradient } = logLikelihood(x, counts);
      if (graded.length === 0) return { value, gradient };
      const more = gradedLikelihood(x, graded);
      return { value: value + more.value, gradient: gradient.map((g, j) => g + more.gradient[j]!) as Point };
    };
  }
}

/**
 * @param conditioned  whether tickets that were confirmed only because they showed are conditioned on that. They must be where
 *   their quiet sisters are missing. Where the table holds those too, unconfirmed, the likelihood of both together is the
 *   right one, and conditioning would count the quiet ones twice.
 */
export function countsOf(
  tally: Tally,
  graded: readonly Graded[],
  { causes }: Space,
  conditioned: boolean,
): Counts {
  const starts: Count[][] = causes.map(() => []);
  for (const [key, weight] of tally.starts) {
    const [cause, stops, n, shown] = key.split(" ").map(Number) as [number, number, number, number];
    starts[cause]!.push({ stops, starts: n, onlyShown: conditioned && shown === 1, weight });
  }
  const own = causes.map((_, c) =>
    graded.filter((g) => g.cause === c).map((g) => (conditioned ? g : { ...g, onlyShown: false })),
  );
  const { tickets, stops, told, events } = tally;
  return { tickets, stops, told, events, starts: new Starts(starts, own) };
}

/**
 * Counts with the unconfirmed tickets shared out, and the log evidence of those.
 *
 * @param rooms    taken over from the pass before; the counts hold on to the first until the next pass takes it
 * @param squared  each counts by the square of its share
 */
export function sharedOut(
  space: Space,
  figures: Figures,
  confirmed: Counts,
  unconfirmed: readonly Tickets[],
  rooms: readonly [Room, Room] = [roomFor(space.causes.length), roomFor(space.causes.length)],
  squared = false,
): [Counts, number] {
  if (unconfirmed.length === 0) return [confirmed, 0];
  const tickets = Float64Array.from(confirmed.tickets);
  // shares are added up by what tickets have in common, and handed on to stages and events at the end
  const { counts: byCount, stages: byStages, events: byEvents } = rooms[0];
  for (const vectors of Object.values(rooms[0])) vectors.clear();
  const mixture = new Mixture(space, figures, rooms[1]);
  const share = new Float64Array(space.causes.length);
  let log = 0;
  for (const ticket of unconfirmed) {
    const { weight, at, events, stops, starts } = ticket;
    mixture.joint(ticket, share);
    log += weight * normalised(share);
    if (squared) for (let c = 0; c < share.length; c++) share[c] = share[c]! ** 2;
    addShares(tickets, share, weight);
    if (starts > 0) addShares(byCount.of(countKey(stops, starts)), share, weight);
    if (at.length > 0) addShares(byStages.of(at), share, weight);
    if (events) addShares(byEvents.of(events), share, weight);
  }
  return [{ tickets, ...handedOn(space, confirmed, rooms[0]) }, log];
}

function handedOn({ causes, stages, events }: Space, confirmed: Counts, room: Room): Omit<Counts, "tickets"> {
  const [C, S, E] = [causes.length, stages.length, events.length];
  const stops = Float64Array.from(confirmed.stops);
  const told = Float64Array.from(confirmed.told);
  const came = Float64Array.from(confirmed.events);
  for (const [at, own] of room.stages.all as Map<Pattern["at"], Float64Array>)
    for (const [s, n] of at) for (let c = 0; c < C; c++) stops[c * S + s]! += n * own[c]!;
  for (const [list, own] of room.events.all) {
    addShares(told, own, 1);
    for (const e of list) for (let c = 0; c < C; c++) came[c * E + e]! += own[c]!;
  }
  return { stops, told, events: came, starts: confirmed.starts.with([...room.counts.all]) };
}

function addShares(into: Float64Array, share: Float64Array, weight: number): void {
  for (let c = 0; c < share.length; c++) into[c] = into[c]! + weight * share[c]!;
}
