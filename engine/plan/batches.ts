/**
 * Information of batches told by their clean starts: how many there were, or how many came before the first stop.
 *
 * Of the number of clean starts in n the information is exact and at most what the outcomes tell (data processing
 * inequality, Cover & Thomas 2006, 2.8), mostly close to it. A batch that ends at its first stop has n · S + 1 outcomes;
 * by where the stop comes alone it has n + 1, a bound in the same way, and `FirstStops` weighs it in full.
 * Source: project model, section 9.
 */
import type { Belief } from "../belief/belief.js";
import { MAX_SIZE } from "../belief/sets.js";
import type { Atom, Target } from "./atoms.js";
import { LeafSums, type StartsPlan, type UnlistedChance } from "./leafSums.js";
import { LONGEST, Runs } from "./runs.js";

/** Batch sizes that are considered (project model, section 9). */
export const SIZES = [1, 2, 3, 4, 6, 8, 12] as const;
/** Batches that may end at the first stop: one start always does. */
export const STOPPING = SIZES.filter((n) => n > 1);
/** Batches too large to weigh in full for every candidate. */
export const LARGER = SIZES.filter((n) => n > 2);

export interface BatchInformation {
  n: number;
  bits: number;
  /** starts that are made, on average */
  starts: number;
}

/** Pascal's triangle as far as it is needed. */
const CHOOSE = Array.from({ length: LONGEST + 1 }, (_, n) =>
  Array.from({ length: n + 1 }, (_, k) => {
    let c = 1;
    for (let j = 0; j < k; j++) c = (c * (n - j)) / (j + 1);
    return Math.round(c);
  }),
);

/** Leaves by their counts, then those of the first stop: before it 0 … N − 1 clean starts, then n clean starts and no stop. */
const COUNTED = LARGER.reduce((sum, n) => sum + n + 1, 0);
const FIRST_STOP = COUNTED;
const ALL_CLEAN = FIRST_STOP + LONGEST;
const SIZE = ALL_CLEAN + STOPPING.length;

const ROW = LONGEST + 1;

const xlogx = (p: number) => (p > 0 ? p * Math.log(p) : 0);

/** Counts of clean starts, and the place of the first stop, for every size at once. */
export class CleanRuns extends LeafSums {
  private readonly quiet = new Float64Array(ROW);
  /** the rth differences of the chances of clean rows, row by row */
  private readonly differences = new Float64Array(ROW * ROW);
  private readonly healthyClean: number;

  constructor(
    belief: Belief,
    target: Target,
    atoms: readonly Atom[],
    private readonly runs: Runs,
  ) {
    super(belief, target, SIZE, LARGER.length + STOPPING.length, atoms);
    this.healthyClean = healthyCleanOf(belief);
  }

  /** By the number of clean starts: bounds from below, for each of `LARGER`; by the first stop, for each of `STOPPING`. */
  of(plan: StartsPlan): { counted: BatchInformation[]; stopping: BatchInformation[] } {
    const { nats, chance } = this.told(plan);
    const bits = (q: number) => nats[q]! / Math.LN2;
    const clean = cleanChances(chance);
    return {
      counted: LARGER.map((n, q) => ({ n, bits: bits(q), starts: n })),
      stopping: STOPPING.map((n, q) => ({ n, bits: bits(LARGER.length + q), starts: startsMade(clean, n) })),
    };
  }

  /**
   * Chances of the leaves from those of clean rows: of j clean starts among n, in order, the (n − j)th difference from
   * the jth on. Signs alternate: of sixteen digits at most four are lost in the largest batch.
   */
  protected fill(at: number, k: number, plan: StartsPlan): void {
    const { quiet, differences } = this;
    this.runs.addTo(quiet.fill(0), 0, this.atoms[k]!, plan);
    for (let m = 0, h = 1; m <= LONGEST; m++, h *= this.healthyClean) differences[m] = quiet[m]! * h;
    for (let r = 1, row = ROW; r <= LONGEST; r++, row += ROW)
      for (let j = 0; j <= LONGEST - r; j++)
        differences[row + j] = differences[row - ROW + j]! - differences[row - ROW + j + 1]!;
    const { values } = this.leaves;
    let leaf = at;
    for (const n of LARGER)
      for (let j = 0; j <= n; j++) values[leaf++] = Math.max(0, differences[(n - j) * ROW + j]!);
    for (let j = 0; j < LONGEST; j++) values[leaf++] = Math.max(0, differences[ROW + j]!);
    for (const n of STOPPING) values[leaf++] = differences[n]!;
  }

  protected fillUnlisted(out: Float64Array, chance: UnlistedChance): void {
    let leaf = 0;
    for (const n of LARGER) for (let j = 0; j <= n; j++) out[leaf++] = chance([n - j, j]);
    for (let j = 0; j < LONGEST; j++) out[leaf++] = chance([1, j]);
    for (const n of STOPPING) out[leaf++] = chance([0, n]);
  }

  protected spreadInto(out: Float64Array, to: number, values: Float64Array, at: number, mass: number): void {
    const whole = xlogx(mass);
    for (let q = 0, leaf = at; q < LARGER.length; q++) {
      const choose = CHOOSE[LARGER[q]!]!;
      let sum = 0;
      for (let j = 0; j < choose.length; j++) sum += choose[j]! * xlogx(values[leaf++]!);
      out[to + q] = sum - whole;
    }
    let stopped = 0;
    for (let q = 0, n = 0; q < STOPPING.length; q++) {
      for (; n < STOPPING[q]!; n++) stopped += xlogx(values[at + FIRST_STOP + n]!);
      out[to + LARGER.length + q] = stopped + xlogx(values[at + ALL_CLEAN + q]!) - whole;
    }
  }
}

/** Where the first stop comes, and at which stage. */
export class FirstStops extends LeafSums {
  private readonly endings = new Float64Array(2 ** MAX_SIZE * LONGEST);
  private readonly shares: Float64Array[] = [];
  private readonly healthyClean: number;
  private readonly stages: number;

  constructor(
    belief: Belief,
    target: Target,
    atoms: readonly Atom[],
    private readonly runs: Runs,
  ) {
    const stages = belief.model.stages.outcomes - 1;
    super(belief, target, LONGEST * stages + STOPPING.length, STOPPING.length, atoms);
    this.stages = stages;
    this.healthyClean = healthyCleanOf(belief);
  }

  of(plan: StartsPlan): BatchInformation[] {
    const { nats, chance } = this.told(plan);
    const clean = this.cleanChances(chance);
    return STOPPING.map((n, q) => ({ n, bits: nats[q]! / Math.LN2, starts: startsMade(clean, n) }));
  }

  /** Starts that a row of at most n takes, on average. */
  startsOf(plan: StartsPlan, n: number): number {
    return startsMade(this.cleanChances(this.told(plan).chance), n);
  }

  /**
   * Adds the chances of the first stop at each stage, and of n clean starts, times `scale`, to `out` from `at` on.
   * @param leaves  from `from` on
   */
  addAnswers(
    out: Float64Array,
    at: number,
    leaves: Float64Array,
    from: number,
    n: number,
    scale: number,
  ): void {
    for (let m = 0, leaf = from; m < n; m++)
      for (let s = 0; s < this.stages; s++, leaf++) out[at + s] = out[at + s]! + leaves[leaf]! * scale;
    out[at + this.stages] = out[at + this.stages]! + this.allClean(leaves, from, n) * scale;
  }

  /** Chance of n clean starts: kept for each size; for one start alone, what the second leaves show. */
  private allClean(leaves: Float64Array, from: number, n: number): number {
    let q = 0;
    while (STOPPING[q]! < n) q++;
    let clean = leaves[from + LONGEST * this.stages + q]!;
    for (let leaf = n * this.stages; leaf < STOPPING[q]! * this.stages; leaf++) clean += leaves[from + leaf]!;
    return clean;
  }

  private cleanChances(chance: Float64Array): Float64Array {
    const clean = new Float64Array(LONGEST + 1).fill(1);
    for (let m = 0; m < LONGEST; m++) {
      const here = chance.subarray(m * this.stages, (m + 1) * this.stages);
      clean[m + 1] = clean[m]! - here.reduce((sum, p) => sum + p, 0);
    }
    return clean;
  }

  protected fill(at: number, k: number, plan: StartsPlan): void {
    const atom = this.atoms[k]!;
    const { values } = this.leaves;
    const { stages, endings, healthyClean } = this;
    const subsets = 1 << atom.group.members.length;
    endings.fill(0, 0, subsets * LONGEST);
    this.runs.addEndings(endings, atom, plan);
    const shares = (this.shares[k] ??= endingShares(this.belief.model.table(atom.group.members), subsets));
    for (let m = 0, h = 1, leaf = at; m < LONGEST; m++, h *= healthyClean)
      for (let s = 0; s < stages; s++, leaf++) {
        let sum = 0;
        for (let t = 0; t < subsets; t++) sum += shares[s * subsets + t]! * endings[t * LONGEST + m]!;
        values[leaf] = Math.max(0, h * sum);
      }
    // no member counted with one start less: all of them were quiet in n starts
    STOPPING.forEach((n, q) => {
      values[at + LONGEST * stages + q] = healthyClean ** n * endings[n - 1]!;
    });
  }

  protected fillUnlisted(out: Float64Array, chance: UnlistedChance): void {
    const counts = new Float64Array(this.stages + 1);
    let leaf = 0;
    for (let m = 0; m < LONGEST; m++)
      for (let s = 0; s < this.stages; s++) {
        counts.fill(0)[this.stages] = m;
        counts[s] = 1;
        out[leaf++] = chance(counts);
      }
    for (const n of STOPPING) {
      counts.fill(0)[this.stages] = n;
      out[leaf++] = chance(counts);
    }
  }

  protected spreadInto(out: Float64Array, to: number, values: Float64Array, at: number, mass: number): void {
    const whole = xlogx(mass);
    let stopped = 0;
    for (let q = 0, leaf = 0; q < STOPPING.length; q++) {
      for (; leaf < STOPPING[q]! * this.stages; leaf++) stopped += xlogx(values[at + leaf]!);
      out[to + q] = stopped + xlogx(values[at + LONGEST * this.stages + q]!) - whole;
    }
  }
}

/**
 * By which members are quiet one start less, what each ending adds to the chance of an outcome:
 *   Σ_t P(outcome | t show) Π_{i∈t} (Q_i − Q′_i) Π_{i∉t} Q′_i = Σ_t share(t) Π_{i∈t} Q_i Π_{i∉t} Q′_i,
 * Q_i the chance to be quiet in m starts and Q′_i in m + 1.
 * @param table  chances of the outcomes by which of the members show; outcomes × 2^m
 */
function endingShares(table: Float64Array, subsets: number): Float64Array {
  const shares = table.slice();
  for (let bit = 1; bit < subsets; bit <<= 1)
    for (let at = 0; at < shares.length; at++)
      if ((at & bit) === 0) shares[at] = shares[at]! - shares[at | bit]!;
  return shares;
}

const healthyCleanOf = ({ model }: Belief): number => model.stages.healthyLater.at(-1)!;

/** P(the first m starts are clean), m = 0 … N, from the leaves of `CleanRuns`. */
function cleanChances(chance: Float64Array): Float64Array {
  const clean = new Float64Array(LONGEST + 1).fill(1);
  for (let m = 0; m < LONGEST; m++) clean[m + 1] = clean[m]! - chance[FIRST_STOP + m]!;
  return clean;
}

/** Σ_{m<n} P(the first m are clean). */
const startsMade = (clean: Float64Array, n: number): number =>
  clean.subarray(0, n).reduce((sum, p) => sum + p, 0);
