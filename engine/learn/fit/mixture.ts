/**
 * What a ticket says of each cause, were it the cause:
 *
 *   ln P(pattern | c) = ln P(k of n | c) + Σ_s n_s ln σ_c(s) + Σ_e ln P(e came or not | c)
 *
 * `none` stops by the leak alone. `unlisted` is the Dirichlet–multinomial of the belief (project model, section 7), in one
 * setup; stops of which the stage was not told count as stops. The leak is left out beside a cause: it is a few starts in a
 * thousand.
 */
import lnGamma from "@stdlib/math-base-special-gammaln";
import { MOST_STARTS, type Space } from "../space.js";
import type { Pattern } from "../patterns.js";
import { logChance, logSoft } from "./betaBinomial.js";
import type { Figures } from "./figures.js";
import { Vectors } from "./vectors.js";

/** Keeps ln of a chance of 0 finite: a stage that a signature does not name can still be what somebody wrote. */
const TINY = 1e-9;

/** Vectors by what tickets have in common. */
export interface Room {
  counts: Vectors<number>;
  stages: Vectors<Pattern["at"]>;
  events: Vectors<readonly number[]>;
}

export const roomFor = (causes: number): Room => ({
  counts: new Vectors(causes),
  stages: new Vectors(causes),
  events: new Vectors(causes),
});

/** A number of starts and stops as one key. */
export const countKey = (stops: number, starts: number): number => stops * (MOST_STARTS + 1) + starts;
export const countOf = (key: number): { stops: number; starts: number } => ({
  stops: Math.floor(key / (MOST_STARTS + 1)),
  starts: key % (MOST_STARTS + 1),
});

/** @param room  taken over from a mixture that is done with */
export class Mixture {
  readonly #counts: Vectors<number>;
  readonly #byStages: Vectors<Pattern["at"]>;
  readonly #byEvents: Vectors<readonly number[]>;
  readonly #logSignature: Float64Array;
  readonly #logCame: Float64Array;
  readonly #logQuiet: Float64Array;
  readonly #logShare: Float64Array;

  constructor(
    private readonly space: Space,
    private readonly figures: Figures,
    room = roomFor(space.causes.length),
  ) {
    const [C, E] = [space.causes.length, space.events.length];
    this.#counts = room.counts;
    this.#byStages = room.stages;
    this.#byEvents = room.events;
    for (const vectors of Object.values(room)) vectors.clear();
    this.#logSignature = figures.signatures.map((p) => Math.log(Math.max(p, TINY)));
    const { given } = figures.events;
    this.#logCame = given.map((p) => Math.log(Math.max(p, TINY)) - Math.log1p(-p));
    this.#logQuiet = Float64Array.from({ length: C }, (_, c) => {
      let log = 0;
      for (let e = 0; e < E; e++) log += Math.log1p(-given[c * E + e]!);
      return log;
    });
    this.#logShare = figures.shares.map((p) => (p > 0 ? Math.log(p) : -Infinity));
  }

  /** ln P(c, pattern) of every cause, into `into`; length C. */
  joint({ starts, stops, at, events, record }: Pattern, into: Float64Array): void {
    into.set(this.#logShare);
    if (record) return addTo(into, record);
    if (starts > 0) addTo(into, this.#chances(stops, starts));
    if (at.length > 0) addTo(into, this.#stages(at));
    if (events) addTo(into, this.#history(events));
  }

  /** Σ n ln σ_c(s); length C, kept for the next ticket that stopped there. */
  #stages(at: Pattern["at"]): Float64Array {
    const S = this.space.stages.length;
    return this.#byStages.of(at, (logs) => {
      for (let c = 0; c < logs.length; c++)
        for (const [s, n] of at) logs[c]! += n * this.#logSignature[c * S + s]!;
      logs[this.space.unlisted] = this.#unlistedStages(at);
    });
  }

  /** Σ ln P(e came or not | c); length C, kept likewise. */
  #history(events: readonly number[]): Float64Array {
    const E = this.space.events.length;
    return this.#byEvents.of(events, (logs) => {
      logs.set(this.#logQuiet);
      for (let c = 0; c < logs.length; c++) for (const e of events) logs[c]! += this.#logCame[c * E + e]!;
    });
  }

  /** ln P(k of n | c), not conditioned on having shown; length C, kept for the next ticket with as many. */
  #chances(stops: number, starts: number): Float64Array {
    const { rates, leak } = this.figures;
    const S = this.space.stages.length;
    return this.#counts.of(countKey(stops, starts), (logs) => {
      rates.forEach((rate, c) => {
        logs[c] = "fixed" in rate ? logFixed(rate.fixed, stops, starts) : logChance(rate, stops, starts);
      });
      logs[this.space.none] = logFixed(leak, stops, starts);
      logs[this.space.unlisted] = logSoft(S / (S + 1), 1 / (S + 1), stops, starts);
    });
  }

  /** Which stages, given that it stopped so often. */
  #unlistedStages(at: Pattern["at"]): number {
    const S = this.space.stages.length;
    const [alpha, all] = [1 / (S + 1), S / (S + 1)];
    let [log, total] = [0, 0];
    for (const [, n] of at) {
      log += lnGamma(alpha + n) - lnGamma(alpha);
      total += n;
    }
    return log - (lnGamma(all + total) - lnGamma(all));
  }
}

function addTo(into: Float64Array, logs: Float64Array): void {
  for (let c = 0; c < into.length; c++) into[c] = into[c]! + logs[c]!;
}

const logFixed = (r: number, k: number, n: number) =>
  (k === 0 ? 0 : k * Math.log(r)) + (k === n ? 0 : (n - k) * Math.log1p(-r));

/** ln Σ exp, and the shares of the terms, in place. */
export function normalised(logs: Float64Array): number {
  let top = -Infinity;
  for (const x of logs) if (x > top) top = x;
  let sum = 0;
  for (let k = 0; k < logs.length; k++) {
    const p = Math.exp(logs[k]! - top);
    logs[k] = p;
    sum += p;
  }
  for (let k = 0; k < logs.length; k++) logs[k]! /= sum;
  return top + Math.log(sum);
}
