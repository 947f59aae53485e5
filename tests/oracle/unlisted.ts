/**
 * Section 7 by brute force: every way in which partly seen starts may split is written out, with its multinomial weight.
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

/** ln of the Dirichlet–multinomial chance of a sequence with these counts, concentration 1/(S + 1) on each outcome. */
function logSequence(counts: readonly number[]): number {
  const each = 1 / counts.length;
  const total = counts.reduce((a, b) => a + b, 0);
  let log = -(logGamma(1 + total) - logGamma(1));
  for (const count of counts) log += logGamma(each + count) - logGamma(each);
  return log;
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
  const counts = new Map<string, number[]>();
  const walk = (k: number, logWays: number) => {
    const start = seen[k];
    if (!start) {
      const all = Array.from({ length: stages + 1 }, (_, o) =>
        [...counts.values()].reduce((sum, c) => sum + c[o]!, 0),
      );
      together.push(logWays + logSequence(all));
      apart.push([...counts.values()].reduce((sum, c) => sum + logSequence(c), logWays));
      return;
    }
    const mine = counts.get(start.setup) ?? Array<number>(stages + 1).fill(0);
    for (const split of splits(start.n, start.outcomes.length)) {
      const next = [...mine];
      start.outcomes.forEach((o, j) => (next[o]! += start.trust * split[j]!));
      counts.set(start.setup, next);
      walk(k + 1, logWays + logMultinomial(split));
    }
    counts.set(start.setup, mine);
  };
  walk(0, 0);
  return { together: sumLogs(together), apart: sumLogs(apart) };
}

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
