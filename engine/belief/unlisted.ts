/**
 * `unlisted`: the evidence of starts under a cause that is not in the catalog.
 *
 * An even mixture of two Dirichlet–multinomials over the S + 1 outcomes, each with concentration 1/(S + 1) on every
 * outcome: one over all counts together, one for each distinct setup apart. Of starts in order, without multinomial
 * coefficients:  Γ(1)/Γ(1 + N) · Π_s Γ(α + n_s)/Γ(α).  Tempered starts count as their tempered number. A start with a set
 * of outcomes is summed over how it may split.
 * Source: project model, section 7; Dirichlet–multinomial (Pólya) distribution, e.g. Johnson, Kotz & Balakrishnan 1997.
 */
import lnGamma from "@stdlib/math-base-special-gammaln";

/** Counts of one urn: exact outcomes, and starts whose outcome was only partly seen. */
export interface Urn {
  /** tempered number by outcome; length S + 1 */
  counts: Float64Array;
  /** partly seen starts: which outcomes, how many, and their trust */
  partly: { wanted: Uint8Array; n: number; trust: number }[];
}

export interface Unlisted {
  together: Urn;
  apart: Map<string, Urn>;
  /** ln of finding and reading likelihoods so far */
  logLooks: number;
}

export const emptyUnlisted = (outcomes: number): Unlisted => ({
  together: emptyUrn(outcomes),
  apart: new Map(),
  logLooks: 0,
});

const emptyUrn = (outcomes: number): Urn => ({ counts: new Float64Array(outcomes), partly: [] });

/** With some starts added; the old state is left as it is. */
export function addStarts(
  unlisted: Unlisted,
  key: string,
  rows: readonly { wanted: Uint8Array; n: number }[],
  trust: number,
): Unlisted {
  const outcomes = unlisted.together.counts.length;
  const apart = new Map(unlisted.apart);
  apart.set(key, addToUrn(apart.get(key) ?? emptyUrn(outcomes), rows, trust));
  return { ...unlisted, together: addToUrn(unlisted.together, rows, trust), apart };
}

function addToUrn(urn: Urn, rows: readonly { wanted: Uint8Array; n: number }[], trust: number): Urn {
  const counts = Float64Array.from(urn.counts);
  const partly = urn.partly.map((p) => ({ ...p }));
  for (const { wanted, n } of rows) {
    const seen = [...wanted.keys()].filter((s) => wanted[s]);
    if (seen.length === 1) counts[seen[0]!] = counts[seen[0]!]! + n * trust;
    else {
      const same = partly.find((p) => p.trust === trust && p.wanted.every((w, s) => w === wanted[s]));
      if (same) same.n += n;
      else partly.push({ wanted, n, trust });
    }
  }
  return { counts, partly };
}

/** ln of the evidence of everything so far under `unlisted`. */
export function logUnlisted(unlisted: Unlisted): number {
  const together = logUrn(unlisted.together);
  let apart = 0;
  for (const urn of unlisted.apart.values()) apart += logUrn(urn);
  return logAdd(together, apart) - Math.LN2 + unlisted.logLooks;
}

/**
 * Chances of further starts in one setup under `unlisted`, given everything so far.
 * @returns a function of the counts by outcome (length S + 1), or of the counts of stops and of clean starts (length 2):
 *          P(these outcomes in order | past, unlisted)
 */
export function unlistedPredictive(unlisted: Unlisted, key: string): (counts: ArrayLike<number>) => number {
  const { together } = unlisted;
  const own = unlisted.apart.get(key) ?? emptyUrn(together.counts.length);
  const first = logUrn(together);
  let apart = 0;
  for (const urn of unlisted.apart.values()) apart += logUrn(urn);
  const share = Math.exp(first - logAdd(first, apart));
  const [a, b] = [urnPredictive(together), urnPredictive(own)];
  return (counts) => share * a(counts) + (1 - share) * b(counts);
}

/** Rising factorials, Π (α + n_s)_k / (1 + N)_n, or the full sum where some starts were only partly seen. */
function urnPredictive(urn: Urn): (counts: ArrayLike<number>) => number {
  const alpha = 1 / urn.counts.length;
  const total = urn.counts.reduce((sum, n) => sum + n, 0);
  const S = urn.counts.length - 1;
  if (urn.partly.length > 0) {
    const before = logUrn(urn);
    const after = (more: (s: number) => number) =>
      Math.exp(logUrn({ ...urn, counts: urn.counts.map((n, s) => n + more(s)) }) - before);
    return (counts) => {
      if (counts.length > 2) return after((s) => counts[s]!);
      // (1 − θ_clean)^k, term by term: k is at most a dozen, so the signs cost four digits of sixteen
      let chance = 0;
      let choose = 1;
      for (let j = 0; j <= counts[0]!; j++) {
        chance += (j % 2 === 0 ? choose : -choose) * after((s) => (s === S ? counts[1]! + j : 0));
        choose = (choose * (counts[0]! - j)) / (j + 1);
      }
      return Math.max(0, chance);
    };
  }
  // outcomes taken together have their concentrations added
  const single = Array.from(urn.counts, (n) => alpha + n);
  const two = [single.slice(0, S).reduce((sum, x) => sum + x, 0), single[S]!];
  return (counts) => {
    const weight = counts.length === 2 ? two : single;
    let chance = 1;
    let drawn = 0;
    for (let s = 0; s < counts.length; s++)
      for (let k = 0; k < counts[s]!; k++) chance *= (weight[s]! + k) / (1 + total + drawn++);
    return chance;
  };
}

const logAdd = (x: number, y: number) => {
  const top = Math.max(x, y);
  return top === -Infinity ? top : top + Math.log(Math.exp(x - top) + Math.exp(y - top));
};

/**
 * ln E[ Π_s θ_s^{n_s} · Π_B (Σ_{s∈B} θ_s)^{m_B} ], θ ~ Dirichlet(α …), m_B the tempered number of starts of which only the
 * set B is known. For whole m that is the sum over how they may split; a start that could have been anything says nothing,
 * at any trust.
 *
 * @throws {OverlapError} where tempered sets overlap without one holding the other: no closed form, and no whole splits
 */
export function logUrn({ counts, partly }: Urn): number {
  const alpha = 1 / counts.length;
  const sets = mergedSets(partly);
  if (isNested(sets)) return logNested(counts, sets, alpha);
  if (sets.every(({ number }) => Number.isInteger(number))) {
    const whole = sets.map(({ wanted, number }) => ({ wanted, n: number, trust: 1 }));
    const total = [...counts, ...sets.map((x) => x.number)].reduce((sum, n) => sum + n, 0);
    return logSplits(counts, whole, alpha) - lnGamma(1 + total);
  }
  const tempered = mergedSets(partly.filter(({ trust }) => trust < 1));
  if (!isNested(tempered)) throw new OverlapError();
  const whole = partly.filter(({ trust }) => trust === 1);
  return logEverySplit(Float64Array.from(counts), whole, 0, tempered, alpha, 0);
}

/** Whole starts written out over the outcomes they may have had, set by set and outcome by outcome. */
function logEverySplit(
  counts: Float64Array,
  whole: readonly { wanted: Uint8Array; n: number }[],
  from: number,
  tempered: readonly VagueSet[],
  alpha: number,
  logWays: number,
): number {
  const [first, ...rest] = whole;
  if (!first) return logWays + logNested(counts, tempered, alpha);
  const { wanted, n } = first;
  const last = wanted.lastIndexOf(1);
  const s = wanted.indexOf(1, from);
  let sum = -Infinity;
  for (let k = s === last ? n : 0; k <= n; k++) {
    const next = Float64Array.from(counts);
    next[s] = next[s]! + k;
    const ways = logWays + lnGamma(n + 1) - lnGamma(k + 1) - lnGamma(n - k + 1);
    const left = k === n ? rest : [{ wanted, n: n - k }, ...rest];
    sum = logAdd(sum, logEverySplit(next, left, k === n ? 0 : s + 1, tempered, alpha, ways));
  }
  return sum;
}

/** Sets of outcomes that a tempered start was one of, neither holding the other. */
export class OverlapError extends RangeError {
  constructor() {
    super(
      "tempered starts: found sets of outcomes that overlap, expected one to hold the other, or none in common",
    );
  }
}

interface VagueSet {
  wanted: Uint8Array;
  number: number;
}

function mergedSets(partly: Urn["partly"]): VagueSet[] {
  const merged = new Map<string, VagueSet>();
  for (const { wanted, n, trust } of partly) {
    const set = merged.get(wanted.join("")) ?? { wanted, number: 0 };
    set.number += n * trust;
    merged.set(wanted.join(""), set);
  }
  return [...merged.values()];
}

const holds = (a: Uint8Array, b: Uint8Array) => b.every((x, s) => !x || a[s] === 1);
const apart = (a: Uint8Array, b: Uint8Array) => b.every((x, s) => !x || a[s] !== 1);

const isNested = (sets: readonly VagueSet[]): boolean =>
  sets.every((x, k) =>
    sets
      .slice(k + 1)
      .every((y) => holds(x.wanted, y.wanted) || holds(y.wanted, x.wanted) || apart(x.wanted, y.wanted)),
  );

/**
 * Nested or disjoint sets: the share of a set and the shares inside it are independent, so each set, the smallest first,
 * becomes one outcome whose concentration is the sum of its parts'.
 */
function logNested(counts: Float64Array, sets: readonly VagueSet[], alpha: number): number {
  const parts = Array.from(counts, (number, s) => ({ outcomes: [s], alpha, number }));
  const size = ({ wanted }: VagueSet) => wanted.reduce((sum, w) => sum + w, 0);
  const everything = { wanted: new Uint8Array(counts.length).fill(1), number: 0 };
  let log = 0;
  for (const { wanted, number } of [...sets].sort((x, y) => size(x) - size(y)).concat(everything)) {
    const inside = parts.filter(({ outcomes }) => wanted[outcomes[0]!]);
    const all = { outcomes: inside.flatMap((p) => p.outcomes), alpha: 0, number: 0 };
    for (const part of inside) {
      log += lnGamma(part.alpha + part.number) - lnGamma(part.alpha);
      all.alpha += part.alpha;
      all.number += part.number;
      parts.splice(parts.indexOf(part), 1);
    }
    log -= lnGamma(all.alpha + all.number) - lnGamma(all.alpha);
    all.number += number;
    parts.push(all);
  }
  return log;
}

/**
 * ln Σ over splits of Π_p (n_p! / Π_s k_ps!) · Π_s Γ(α + n_s + Σ_p τ_p k_ps)/Γ(α).
 *
 * Outcome by outcome: the state is how many starts of each partly seen kind have found their outcome, so the sum has
 * Π (n_p + 1) states and not one term a split.
 */
function logSplits(counts: Float64Array, partly: Urn["partly"], alpha: number): number {
  const shape = partly.map((p) => p.n + 1);
  const states = shape.reduce((product, n) => product * n, 1);
  let table = new Float64Array(states).fill(-Infinity);
  table[0] = 0;
  for (let s = 0; s < counts.length; s++) {
    const next = new Float64Array(states).fill(-Infinity);
    for (let state = 0; state < states; state++)
      if (table[state]! > -Infinity) spread(table[state]!, state, s, counts[s]!, partly, shape, alpha, next);
    table = next;
  }
  return table[states - 1]! + partly.reduce((sum, p) => sum + lnGamma(p.n + 1), 0);
}

function spread(
  from: number,
  state: number,
  s: number,
  count: number,
  partly: Urn["partly"],
  shape: number[],
  alpha: number,
  next: Float64Array,
): void {
  const walk = (
    p: number,
    target: number,
    stride: number,
    rest: number,
    number: number,
    log: number,
  ): void => {
    if (p === partly.length) {
      const value = from + log + lnGamma(alpha + number) - lnGamma(alpha);
      next[target] = logAdd(next[target]!, value);
      return;
    }
    const { wanted, n, trust } = partly[p]!;
    const used = rest % shape[p]!;
    const most = wanted[s] ? n - used : 0;
    for (let k = 0; k <= most; k++)
      walk(
        p + 1,
        target + k * stride,
        stride * shape[p]!,
        Math.floor(rest / shape[p]!),
        number + k * trust,
        log - lnGamma(k + 1),
      );
  };
  walk(0, state, 1, state, count, 0);
}
