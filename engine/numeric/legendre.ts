/**
 * Integrals over an interval, by Gauss–Legendre panels.
 */
import { jacobiRule } from "./gauss.js";

/** Off-diagonal of the Legendre recurrence, k/√(4k² − 1) (DLMF 18.9, 3.5(v)). */
export const legendreRule = (n: number) =>
  jacobiRule(
    new Float64Array(n),
    Float64Array.from({ length: n - 1 }, (_, k) => (k + 1) / Math.sqrt(4 * (k + 1) ** 2 - 1)),
    2,
  );

const PANEL = legendreRule(20);

/** ∫ f from the first edge to the last, 20 points between each two; `edges` rising. */
export function integrate(f: (x: number) => number, edges: readonly number[]): number {
  let sum = 0;
  for (let k = 0; k + 1 < edges.length; k++) {
    const [low, high] = [edges[k]!, edges[k + 1]!];
    const half = (high - low) / 2;
    for (let j = 0; j < PANEL.point.length; j++)
      sum += half * PANEL.weight[j]! * f(low + half * (1 + PANEL.point[j]!));
  }
  return sum;
}
