/** Which tickets are left out: by time where days are told (the latest fifth, or so), else a fifth at a time. */
import type { Gathered } from "../gather.js";
import type { CalibrationView } from "../tuning.js";

/** Share of the tickets that is left out at the end, by time. */
const LATEST = 0.2;

/** Buckets that are learned from, and those that are asked about. */
export interface Split {
  train: number[];
  test: Set<number>;
}

/** None where all are of one bucket. */
export function splitsOf({ buckets, tallies }: Gathered): { splits: Split[]; how: CalibrationView["how"] } {
  const index = buckets.map((_, b) => b);
  const confirmed = (b: number) => tallies[b]!.tickets.reduce((sum, n) => sum + n, 0);
  if (buckets.some((name) => name.startsWith("fold"))) {
    const splits = index.map((b) => ({ train: index.filter((x) => x !== b), test: new Set([b]) }));
    return { how: "folds", splits: splits.length > 1 ? splits : [] };
  }
  const dated = index
    .filter((b) => buckets[b] !== "undated")
    .sort((x, y) => (buckets[x]! < buckets[y]! ? 1 : -1));
  const wanted = LATEST * dated.reduce((sum, b) => sum + confirmed(b), 0);
  const test = new Set<number>();
  let got = 0;
  for (const b of dated.slice(0, -1)) {
    if (got >= wanted) break;
    test.add(b);
    got += confirmed(b);
  }
  const split = { train: index.filter((b) => !test.has(b)), test };
  return { how: "time", splits: test.size > 0 ? [split] : [] };
}
