/**
 * What one trial, finding or reading says, given which causes are active: sections 5 and 7, term by term.
 */

/** A source of stops: shows with chance `show`, at stage s with chance signature[s]. */
export interface Shower {
  show: number;
  /** 1 − show, exact near show = 1 */
  rest: number;
  signature: readonly number[];
}

/**
 * Chance of each outcome when the earliest stage wins; the last is `clean`.
 *
 * P(later than s − 1) − P(later than s) is a difference Πa − Πb of near-equals; written as
 * Σ_i (Π_{j<i} b_j)(a_i − b_i)(Π_{j>i} a_j) every term is positive and a_i − b_i = show_i σ_i(s) is exact.
 */
export function rankedChances(sources: readonly Shower[], stages: number): number[] {
  const n = sources.length;
  const before = Array<number>(n).fill(1); // a_i: not shown up to the stage before
  const chances: number[] = [];
  for (let s = 0; s < stages; s++) {
    let sum = 0;
    let passed = 1; // Π_{j<i} b_j
    for (let i = 0; i < n; i++) {
      const { show, signature } = sources[i]!;
      let term = passed * show * signature[s]!;
      for (let j = i + 1; j < n; j++) term *= before[j]!;
      sum += term;
      before[i] = laterThan(sources[i]!, s);
      passed *= before[i]!;
    }
    chances.push(sum);
  }
  // the last of the products is that of the rests: it keeps the digits of a small chance
  let clean = 1;
  for (const { rest } of sources) clean *= rest;
  chances.push(clean);
  return chances;
}

/**
 * Not shown up to stage s, summed from the far end: 1 − 1/3 − 2/3 leaves 1e-16 where a sure cause leaves nothing, and a
 * tempered start would take the root of it.
 */
function laterThan({ show, rest, signature }: Shower, s: number): number {
  let later = 0;
  for (let k = signature.length - 1; k > s; k--) later += signature[k]!;
  return rest + show * later;
}

/** Density of a reading: every subset of the present shifts may show, the farthest from healthy gives the density. */
export interface Shift {
  m: number;
  s: number;
  d: number;
}

const normal = (x: number, m: number, s: number) =>
  Math.exp(-0.5 * ((x - m) / s) ** 2) / (s * Math.sqrt(2 * Math.PI));

export interface Instrument {
  healthy: { m: number; s: number };
  slip: number;
  range: readonly [number, number];
}

const uniform = (x: number, [low, high]: readonly [number, number]) =>
  x >= low && x <= high ? 1 / (high - low) : 0;

export function readingDensity(x: number, tool: Instrument, shifts: readonly Shift[]): number {
  let density = 0;
  for (let mask = 0; mask < 1 << shifts.length; mask++) {
    let chance = 1;
    let far: { m: number; s: number } = tool.healthy;
    shifts.forEach((shift, i) => {
      const shows = (mask >> i) & 1;
      chance *= shows ? shift.d : 1 - shift.d;
      if (shows && Math.abs(shift.m - tool.healthy.m) > Math.abs(far.m - tool.healthy.m)) far = shift;
    });
    density += chance * normal(x, far.m, far.s);
  }
  return (1 - tool.slip) * density + tool.slip * uniform(x, tool.range);
}

/** Half a healthy machine, half anything the instrument can show; a slip is the instrument's own and spares nobody. */
export const unlistedDensity = (x: number, tool: Instrument): number =>
  0.5 * readingDensity(x, tool, []) + 0.5 * uniform(x, tool.range);
