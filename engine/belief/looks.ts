/**
 * Findings and readings: evidence that has no latent rate.
 */
import type { Finding, Reading } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import type { Cause } from "../catalog/expand.js";

/**
 * P(value | the active causes): each brings up value v with chance φ(v) or none, the base rate φ₀ does so in any
 * machine, the first ranked value shows, the last is what shows when nothing was brought up.
 *
 *   P(later than v) = (1 − Φ₀(v)) · Π (1 − Φᵢ(v))
 *
 * @returns chances of the values, in their order; they add up to 1
 * Source: leaky noisy-MAX, Díez 1993 (UAI); project model, section 5.
 */
export function findingChances(finding: Finding, active: readonly Cause[]): Float64Array {
  const V = finding.values.length;
  const chances = new Float64Array(V);
  const effects = [finding.base, ...active.map((c) => finding.causes[c.template] ?? {})];
  const upTo = new Float64Array(effects.length);
  let before = 1;
  for (let v = 0; v < V - 1; v++) {
    const id = finding.values[v]!.id;
    let later = 1;
    effects.forEach((effect, k) => {
      upTo[k] = upTo[k]! + (Object.hasOwn(effect, id) ? effect[id]! : 0);
      later *= 1 - upTo[k]!;
    });
    chances[v] = before - later;
    before = later;
  }
  chances[V - 1] = before;
  return chances;
}

/** A component of the density of a reading. */
export interface ReadingPart {
  weight: number;
  mean: number;
  sd: number;
}

const SLIP = 0.01;

export const slipOf = (reading: Reading): number => numberOf(reading.slip ?? SLIP);

/**
 * Components of a reading's density without the slip: each present cause shifts it with its own chance; among those that
 * show, the one whose mean lies farthest from the healthy one gives the density (the first of equals).
 */
export function readingParts(reading: Reading, active: readonly Cause[]): ReadingPart[] {
  const mean = numberOf(reading.healthy.mean);
  const shifts = active
    .flatMap((c) => (Object.hasOwn(reading.causes, c.template) ? [reading.causes[c.template]!] : []))
    .map((x) => ({ mean: numberOf(x.mean), sd: numberOf(x.sd), chance: numberOf(x.chance) }))
    .sort((x, y) => Math.abs(y.mean - mean) - Math.abs(x.mean - mean));
  const parts: ReadingPart[] = [];
  let hidden = 1;
  for (const shift of shifts) {
    parts.push({ weight: hidden * shift.chance, mean: shift.mean, sd: shift.sd });
    hidden *= 1 - shift.chance;
  }
  parts.push({ weight: hidden, mean, sd: numberOf(reading.healthy.sd) });
  return parts;
}

/** ln density of a reading, in 1/unit, slip included; evaluated in logs. */
export function logReadingDensity(reading: Reading, active: readonly Cause[], value: number): number {
  const slip = slipOf(reading);
  const [low, high] = reading.range;
  const terms = readingParts(reading, active).map(
    ({ weight, mean, sd }) => Math.log1p(-slip) + Math.log(weight) + logNormal(value, mean, sd),
  );
  // the slip is uniform over the range; the bells are not cut off at its ends
  if (value >= low && value <= high) terms.push(Math.log(slip) - Math.log(high - low));
  return logSum(terms);
}

/** The density itself at any value, for those who add up many and do not mind that it is 0 below e⁻⁷⁴⁵. */
export function readingDensityGiven(reading: Reading, active: readonly Cause[]): (value: number) => number {
  const slip = slipOf(reading);
  const [low, high] = reading.range;
  const parts = readingParts(reading, active);
  const height = Float64Array.from(
    parts,
    ({ weight, sd }) => ((1 - slip) * weight) / (sd * Math.sqrt(2 * Math.PI)),
  );
  const flat = slip / (high - low);
  return (value) => {
    let density = value >= low && value <= high ? flat : 0;
    for (let k = 0; k < parts.length; k++) {
      const { mean, sd } = parts[k]!;
      const z = (value - mean) / sd;
      density += height[k]! * Math.exp(-0.5 * z * z);
    }
    return density;
  };
}

/** ln N(x; mean, sd). */
export const logNormal = (x: number, mean: number, sd: number): number =>
  -0.5 * ((x - mean) / sd) ** 2 - Math.log(sd) - 0.5 * Math.log(2 * Math.PI);

export function logSum(terms: readonly number[]): number {
  const top = Math.max(...terms);
  if (top === -Infinity) return top;
  return top + Math.log(terms.reduce((sum, t) => sum + Math.exp(t - top), 0));
}
