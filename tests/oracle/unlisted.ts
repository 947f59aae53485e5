/**
 * Section 7 by brute force. A whole start of which only a set of outcomes is known is written out in every way it may
 * have gone. A tempered one counts as its tempered number, which need not be whole: E[(Σ_{o ∈ B} θ_o)^m], which for whole
 * m is the sum over all ways to split m, and for nested or disjoint sets B has a closed form whatever m is.
 */
import { logGamma } from "./halfline.js";
import { sumLogs } from "./logs.js";

export interface Seen {
  /** indices of the outcomes it may have been; S is `clean` */
  outcomes: readonly number[];
  n: number;
}

export interface Counted extends Seen {
  trust: number;
  setup: string;
}

/** So many tempered starts of which it is known only that the outcome lay in a set. */
interface Vague {
  outcomes: readonly number[];
  number: number;
}

/** One urn: whole and tempered counts by outcome, and what is only known by sets. */
interface Urn {
  counts: number[];
  vague: Vague[];
}

/**
 * ln E[Π_o θ_o^counts · Π_B (Σ_{o ∈ B} θ_o)^number], θ ~ Dirichlet with concentration 1/(S + 1) on each outcome.
 *
 * Within a set, the shares of its parts are Dirichlet again and independent of the set's own share. So each set gives
 * Γ(α) / Γ(α + what lies inside) times, for each of its parts, Γ(α_part + what falls on it) / Γ(α_part).
 */
function logSequence({ counts, vague }: Urn): number {
  const each = 1 / counts.length;
  const sets = merged(vague).sort((x, y) => x.outcomes.length - y.outcomes.length);
  let parts: Vague[] = counts.map((count, o) => ({ outcomes: [o], number: count }));
  let log = 0;
  const close = (inside: Vague[], size: number) => {
    const alpha = each * size;
    log += logGamma(alpha) - logGamma(alpha + inside.reduce((sum, x) => sum + x.number, 0));
    for (const part of inside) {
      const own = each * part.outcomes.length;
      log += logGamma(own + part.number) - logGamma(own);
    }
  };
  for (const set of sets) {
    const inside = parts.filter((x) => x.outcomes.every((o) => set.outcomes.includes(o)));
    const size = inside.reduce((sum, x) => sum + x.outcomes.length, 0);
    if (size !== set.outcomes.length)
      throw new Error(
        `oracle: found tempered sets that overlap (${set.outcomes.join()}), expected nested or apart`,
      );
    close(inside, size);
    const sum = inside.reduce((n, x) => n + x.number, set.number);
    parts = [...parts.filter((x) => !inside.includes(x)), { outcomes: set.outcomes, number: sum }];
  }
  close(parts, counts.length);
  return log;
}

/** Sets that are the same, as one. */
function merged(vague: readonly Vague[]): Vague[] {
  const all = new Map<string, Vague>();
  for (const { outcomes, number } of vague) {
    const key = [...outcomes].sort((x, y) => x - y).join();
    all.set(key, { outcomes, number: number + (all.get(key)?.number ?? 0) });
  }
  return [...all.values()];
}

/** All ways to write n as an ordered sum of `parts` whole numbers. */
export function splits(n: number, parts: number): number[][] {
  if (parts === 1) return [[n]];
  const all: number[][] = [];
  for (let first = 0; first <= n; first++)
    for (const rest of splits(n - first, parts - 1)) all.push([first, ...rest]);
  return all;
}

const logMultinomial = (split: readonly number[]): number =>
  logGamma(1 + split.reduce((a, b) => a + b, 0)) - split.reduce((sum, k) => sum + logGamma(1 + k), 0);

/** Both halves of the mixture, as ln: one urn for everything, one urn for each setup. */
export function urns(seen: readonly Counted[], stages: number): { together: number; apart: number } {
  const together: number[] = [];
  const apart: number[] = [];
  const filled = new Map<string, Urn>();
  const empty = (): Urn => ({ counts: Array<number>(stages + 1).fill(0), vague: [] });
  const walk = (k: number, logWays: number) => {
    const start = seen[k];
    if (!start) {
      const all = [...filled.values()];
      together.push(logWays + logSequence(all.reduce(poured, empty())));
      apart.push(all.reduce((sum, urn) => sum + logSequence(urn), logWays));
      return;
    }
    const { outcomes, n, trust, setup } = start;
    const mine = filled.get(setup) ?? empty();
    if (trust < 1 && outcomes.length > 1) {
      filled.set(setup, { ...mine, vague: [...mine.vague, { outcomes, number: trust * n }] });
      walk(k + 1, logWays);
    } else
      for (const split of splits(n, outcomes.length)) {
        const counts = [...mine.counts];
        outcomes.forEach((o, j) => (counts[o]! += trust * split[j]!));
        filled.set(setup, { ...mine, counts });
        walk(k + 1, logWays + logMultinomial(split));
      }
    filled.set(setup, mine);
  };
  walk(0, 0);
  return { together: sumLogs(together), apart: sumLogs(apart) };
}

const poured = (into: Urn, urn: Urn): Urn => ({
  counts: into.counts.map((x, o) => x + urn.counts[o]!),
  vague: [...into.vague, ...urn.vague],
});

/** ln P(starts | unlisted). */
export function logUnlisted(seen: readonly Counted[], stages: number): number {
  const { together, apart } = urns(seen, stages);
  return sumLogs([together, apart]) - Math.LN2;
}

/** Chance of each outcome of the next whole start in this setup. */
export function unlistedNext(seen: readonly Counted[], stages: number, setup: string): number[] {
  const now = logUnlisted(seen, stages);
  return Array.from({ length: stages + 1 }, (_, o) =>
    Math.exp(logUnlisted([...seen, { outcomes: [o], n: 1, trust: 1, setup }], stages) - now),
  );
}
