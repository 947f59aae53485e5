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
import type { Space } from "../space.js";
import type { Pattern, Tickets } from "../patterns.js";
import { logChance, logSoft } from "./betaBinomial.js";
import type { Figures } from "./figures.js";

/** Keeps ln of a chance of 0 finite: a stage that a signature does not name can still be what somebody wrote. */
const TINY = 1e-9;

export class Mixture {
  readonly #causes: number;
  readonly #counts = new Map<number, Float64Array>();
  readonly #logSignature: Float64Array;
  readonly #logCame: Float64Array;
  readonly #logQuiet: Float64Array;
  readonly #logShare: Float64Array;

  constructor(
    private readonly space: Space,
    private readonly figures: Figures,
  ) {
    const [C, E] = [space.causes.length, space.events.length];
    this.#causes = C;
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
  joint(pattern: Pattern | Tickets, into: Float64Array): void {
    const [C, S, E] = [this.#causes, this.space.stages.length, this.space.events.length];
    const { starts, stops, at, events } = pattern;
    into.set(this.#logShare);
    if ("record" in pattern && pattern.record) return pattern.record.forEach((log, c) => (into[c]! += log));
    const counts = starts > 0 ? this.#chances(stops, starts) : null;
    for (let c = 0; c < C; c++) {
      let log = into[c]!;
      if (counts) log += counts[c]!;
      if (c !== this.space.unlisted) for (const [s, n] of at) log += n * this.#logSignature[c * S + s]!;
      if (events) {
        log += this.#logQuiet[c]!;
        for (const e of events) log += this.#logCame[c * E + e]!;
      }
      into[c] = log;
    }
    if (at.length > 0) into[this.space.unlisted]! += this.#unlistedStages(at);
  }

  /** ln P(k of n | c), not conditioned on having shown; length C, kept for the next ticket with as many. */
  #chances(stops: number, starts: number): Float64Array {
    const key = stops * 1e6 + starts;
    let chances = this.#counts.get(key);
    if (!chances) {
      const { rates, leak } = this.figures;
      const S = this.space.stages.length;
      chances = new Float64Array(this.#causes);
      rates.forEach(
        (rate, c) =>
          (chances![c] =
            "fixed" in rate ? logFixed(rate.fixed, stops, starts) : logChance(rate, stops, starts)),
      );
      chances[this.space.none] = logFixed(leak, stops, starts);
      chances[this.space.unlisted] = logSoft(S / (S + 1), 1 / (S + 1), stops, starts);
      this.#counts.set(key, chances);
    }
    return chances;
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
