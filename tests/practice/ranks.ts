/**
 * Simulation-based calibration: the rank of the true rate within its posterior is uniform.
 * Source: Talts, Betancourt, Simpson, Vehtari & Gelman 2018 (arXiv 1804.06788); with an exact posterior the rank is its
 * distribution function at the truth. At the hard point, where the distribution jumps, ties are broken at random.
 */
import type { Model } from "../../engine/belief/model.js";
import { cumulativeOf, rateMarginals, ratePosterior } from "../../engine/belief/ratePosterior.js";
import { below } from "../../engine/numeric/cumulative.js";
import { seedOf, streamOf } from "../../engine/practice/streams.js";
import { believed, pick, simulated } from "./simulated.js";

/** The same model, in which exactly so many causes are present: drawn so and believed so. */
export function withExactly(model: Model, size: number): Model {
  const weight = model.prior.set.map((w, f) => (model.sets.size[f] === size ? w : 0));
  const total = weight.reduce((sum, w) => sum + w, 0);
  return { ...model, prior: { ...model.prior, set: weight.map((w) => w / total), unlisted: 0 } };
}

/** P(r ≤ its true value | record, the cause present), one for each ticket. */
export function ranksOf(model: Model, tickets: number, seed: number, believer = model): number[] {
  return Array.from({ length: tickets }, (_, k) => {
    const { truth, entries } = simulated(model, seed, k);
    const uniform = streamOf(seedOf(seed, `rank ${k}`), "ties");
    const at = pick([...truth.causes.keys()], uniform);
    const { belief } = believed(believer, entries);
    const posterior = ratePosterior(belief, rateMarginals(belief), truth.causes[at]!)!;
    const rate = truth.rates[at]!;
    const tie = uniform();
    if (rate === 1) return 1 - posterior.hard * tie;
    return below(cumulativeOf(posterior), rate);
  });
}

export function countsOf(ranks: readonly number[], bins: number): number[] {
  const counts = new Array<number>(bins).fill(0);
  for (const rank of ranks) counts[Math.min(bins - 1, Math.max(0, Math.floor(rank * bins)))]!++;
  return counts;
}
