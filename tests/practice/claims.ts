/**
 * Calibration: of what the engine calls 90 %, 90 % is so.
 *
 * One claim for each simulated ticket, so that they are independent: by the toss of a coin the likeliest of all (a cause was
 * there, nothing was wrong, it is not on the list), or any of them.
 */
import type { Model } from "../../engine/belief/model.js";
import { presence } from "../../engine/belief/summary.js";
import { seedOf, streamOf } from "../../engine/practice/streams.js";
import { believed, chanceOver, pick, simulated } from "./simulated.js";

export interface Claim {
  said: number;
  so: boolean;
}

/** @param believer  the engine's model; the tickets are drawn from `model` */
export function claimOf(model: Model, believer: Model, seed: number, k: number): Claim {
  const { truth, entries } = simulated(model, seed, k);
  const { belief } = believed(believer, entries);
  const { present } = presence(belief);
  const claims: Claim[] = [...present].map((said, i) => ({ said, so: truth.causes.includes(i) }));
  claims.push({ said: belief.mass[0]!, so: truth.causes.length === 0 && truth.unlisted === null });
  claims.push({ said: belief.unlistedMass, so: truth.unlisted !== null });
  const uniform = streamOf(seedOf(seed, `claim ${k}`), "claim");
  if (uniform() < 0.5) return claims.reduce((best, c) => (c.said > best.said ? c : best));
  return pick(claims, uniform);
}

export interface Decile {
  from: number;
  tickets: number;
  said: number;
  so: number;
  /** 95 %, Wilson 1927 */
  low: number;
  high: number;
}

const Z = 1.959963984540054; // 97.5 % of the standard normal

export function decilesOf(claims: readonly Claim[]): Decile[] {
  return Array.from({ length: 10 }, (_, d) => {
    const own = claims.filter(({ said }) => Math.min(9, Math.floor(said * 10)) === d);
    const n = own.length;
    const so = own.filter((c) => c.so).length / n;
    const centre = (so + Z ** 2 / (2 * n)) / (1 + Z ** 2 / n);
    const half = (Z / (1 + Z ** 2 / n)) * Math.sqrt((so * (1 - so)) / n + Z ** 2 / (4 * n * n));
    const said = own.reduce((sum, c) => sum + c.said, 0) / n;
    return { from: d / 10, tickets: n, said, so, low: centre - half, high: centre + half };
  }).filter(({ tickets }) => tickets > 0);
}

/**
 * One joint test of all deciles: Σ (times it was so − Σ said)² / Σ said (1 − said), chi-square of as many degrees as there
 * are deciles with at least five expected either way; the others are put together.
 */
export function calibrated(claims: readonly Claim[]): { statistic: number; degrees: number; p: number } {
  let [statistic, degrees] = [0, 0];
  const rest = { off: 0, variance: 0 };
  for (let d = 0; d < 10; d++) {
    const own = claims.filter(({ said }) => Math.min(9, Math.floor(said * 10)) === d);
    const expected = own.reduce((sum, c) => sum + c.said, 0);
    const off = own.filter((c) => c.so).length - expected;
    const variance = own.reduce((sum, c) => sum + c.said * (1 - c.said), 0);
    if (expected >= 5 && own.length - expected >= 5) {
      statistic += off ** 2 / variance;
      degrees++;
    } else {
      rest.off += off;
      rest.variance += variance;
    }
  }
  if (rest.variance > 0) {
    statistic += rest.off ** 2 / rest.variance;
    degrees++;
  }
  return { statistic, degrees, p: chanceOver(statistic, degrees) };
}
