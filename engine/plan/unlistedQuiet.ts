/** Rows of clean starts under `unlisted`, in several setups one after the other. */
import { logUrn, type Unlisted, type Urn } from "../belief/unlisted.js";

/**
 * @returns a function of how many clean starts are made in each setup (any number ≥ 0, whole or not):
 *          P(all of them clean | record so far, unlisted)
 */
export function unlistedQuiet({ together, apart }: Unlisted): (clean: ReadonlyMap<string, number>) => number {
  const first = logUrn(together);
  const each = new Map([...apart].map(([key, urn]) => [key, logUrn(urn)]));
  const second = [...each.values()].reduce((sum, log) => sum + log, 0);
  const share = 1 / (1 + Math.exp(second - first));
  const none: Urn = { counts: new Float64Array(together.counts.length), partly: [] };
  return (clean) => {
    let [all, log] = [0, 0];
    for (const [key, n] of clean) {
      all += n;
      log += logUrn(withClean(apart.get(key) ?? none, n)) - (each.get(key) ?? 0);
    }
    return share * Math.exp(logUrn(withClean(together, all)) - first) + (1 - share) * Math.exp(log);
  };
}

function withClean(urn: Urn, n: number): Urn {
  const counts = Float64Array.from(urn.counts);
  counts[counts.length - 1] = counts.at(-1)! + n;
  return { ...urn, counts };
}
