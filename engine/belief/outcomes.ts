/**
 * Chances of the outcomes of one trial, given which causes show.
 *
 *   P(later than s | T show) = (1 − ε Σ₀(s)) · Π_{i∈T} (1 − Σᵢ(s)),   P(s) = P(later than s − 1) − P(later than s)
 *
 * The outcome of a trial is linear in each cause's chance to show, so these 2^|T| numbers are all that a likelihood
 * needs: P(s) = Σ_T P(s | T show) Π_{i∈T} q_i Π_{i∉T} (1 − q_i).
 * Source: leaky noisy-MAX, Díez 1993 (UAI); project model, section 5.
 */
export interface Stages {
  /** S + 1 outcomes: the stages, then `clean` */
  outcomes: number;
  /** P(later than s) of a healthy machine, 1 − ε Σ₀(s); length S */
  healthyLater: Float64Array;
  /** 1 − Σᵢ(s) by cause, row-major; C × S, each row ends in 0 */
  later: Float64Array;
}

export function stagesOf(
  leak: number,
  leakSignature: Float64Array,
  signatures: readonly Float64Array[],
): Stages {
  const S = leakSignature.length;
  const healthyLater = new Float64Array(S);
  let upTo = 0;
  for (let s = 0; s < S; s++) healthyLater[s] = 1 - leak * (s === S - 1 ? 1 : (upTo += leakSignature[s]!));
  const later = new Float64Array(signatures.length * S);
  signatures.forEach((signature, i) => {
    // summed from the far end, so that "later" keeps its digits where it is small
    let sum = 0;
    for (let s = S - 1; s >= 0; s--) {
      later[i * S + s] = sum;
      sum += signature[s]!;
    }
  });
  return { outcomes: S + 1, healthyLater, later };
}

/**
 * P(the outcome is one of `wanted` | exactly the causes a, b, c show); −1 for fewer.
 * @param wanted  1 for each outcome in the set; length S + 1
 */
export function outcomeChance(stages: Stages, wanted: Uint8Array, a: number, b: number, c: number): number {
  let chance = 0;
  for (let s = 0; s < wanted.length; s++)
    if (wanted[s]) chance += laterThan(stages, s - 1, a, b, c) - laterThan(stages, s, a, b, c);
  return chance;
}

/** P(the outcome comes later than s | exactly the causes a, b, c show). */
function laterThan({ outcomes, healthyLater, later }: Stages, s: number, a: number, b: number, c: number) {
  const S = outcomes - 1;
  if (s < 0) return 1;
  if (s === S) return 0;
  let chance = healthyLater[s]!;
  if (a >= 0) chance *= later[a * S + s]!;
  if (b >= 0) chance *= later[b * S + s]!;
  if (c >= 0) chance *= later[c * S + s]!;
  return chance;
}

/** Chances of each outcome by which of the shown members show; outcomes × 2^m, row-major. */
export function outcomeTable(stages: Stages, shown: readonly number[]): Float64Array {
  const subsets = 1 << shown.length;
  const table = new Float64Array(stages.outcomes * subsets);
  const wanted = new Uint8Array(stages.outcomes);
  for (let o = 0; o < stages.outcomes; o++) {
    wanted.fill(0)[o] = 1;
    table.set(setTable(stages, wanted, shown), o * subsets);
  }
  return table;
}

/** The same for a set of outcomes: 2^m numbers. */
export function setTable(stages: Stages, wanted: Uint8Array, shown: readonly number[]): Float64Array {
  const [a, b, c] = [shown[0] ?? -1, shown[1] ?? -1, shown[2] ?? -1];
  return Float64Array.from({ length: 1 << shown.length }, (_, t) =>
    outcomeChance(stages, wanted, t & 1 ? a : -1, t & 2 ? b : -1, t & 4 ? c : -1),
  );
}
