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
    const stop = Uint8Array.from({ length: S + 1 }, (_, s) => Number(s < S));
    return (counts) => {
      if (counts.length > 2)
        return Math.exp(logUrn({ ...urn, counts: urn.counts.map((n, s) => n + counts[s]!) }) - before);
      const clean = urn.counts.map((n, s) => (s === S ? n + counts[1]! : n));
      const partly = counts[0]! > 0 ? [...urn.partly, { wanted: stop, n: counts[0]!, trust: 1 }] : urn.partly;
      return Math.exp(logUrn({ counts: clean, partly }) - before);
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

/** ln P(counts in order), summed over the splits of partly seen starts. */
export function logUrn({ counts, partly }: Urn): number {
  const alpha = 1 / counts.length;
  let total = counts.reduce((sum, n) => sum + n, 0);
  for (const p of partly) total += p.n * p.trust;
  return logSplits(counts, partly, alpha) - lnGamma(1 + total);
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
