/**
 * Seeded streams of chance, each with a name of its own.
 *
 * Two strategies that do the same thing at the same place of the same ticket meet the same luck, however many other things
 * they did before: the k-th start draws from the stream of starts, the k-th cure of a cause from that cause's stream.
 */
import jstat from "jstat";
import { seededUniform } from "../numeric/random.js";

const { jStat } = jstat;

export type Uniform = () => number;

/** A whole number in [0, 2³²) from a seed and a name (FNV-1a, Fowler, Noll & Vo, with a final mix by Appleby 2008). */
export function seedOf(seed: number, name: string): number {
  let h = 0x811c9dc5;
  for (const c of `${seed} ${name}`) h = Math.imul(h ^ c.codePointAt(0)!, 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** One stream. */
export const streamOf = (seed: number, name: string): Uniform => seededUniform(seedOf(seed, name));

/** Streams by name, each made when first asked for and carried on from then. */
export class Streams {
  private readonly made = new Map<string, Uniform>();

  constructor(private readonly seed: number) {}

  of(name: string): Uniform {
    let stream = this.made.get(name);
    if (!stream) this.made.set(name, (stream = streamOf(this.seed, name)));
    return stream;
  }
}

/** Index k with chance weights[k] / Σ weights. */
export function drawIndex(weights: ArrayLike<number>, u: number): number {
  let total = 0;
  for (let k = 0; k < weights.length; k++) total += weights[k]!;
  let left = u * total;
  let last = 0;
  for (let k = 0; k < weights.length; k++) {
    if (weights[k]! > 0) last = k;
    left -= weights[k]!;
    if (left < 0) return last;
  }
  return last;
}

/** Beta(a, b) by its inverse, which is good to about 1e-7 (jStat): ample for a draw. */
export const drawBeta = (a: number, b: number, u: number): number => jStat.beta.inv(u, a, b);

export const drawNormal = (mean: number, sd: number, u: number): number =>
  jStat.normal.inv(Math.min(1 - 1e-12, Math.max(1e-12, u)), mean, sd);

/**
 * Dirichlet(concentration on each of K), by breaking a stick of length 1.
 * Source: Sethuraman 1994 (Statistica Sinica 4), finite form.
 */
export function drawDirichlet(concentration: number, outcomes: number, uniform: Uniform): Float64Array {
  const chances = new Float64Array(outcomes);
  let left = 1;
  for (let k = 0; k < outcomes - 1; k++) {
    const part = drawBeta(concentration, concentration * (outcomes - 1 - k), uniform());
    chances[k] = left * part;
    left *= 1 - part;
  }
  chances[outcomes - 1] = left;
  return chances;
}
