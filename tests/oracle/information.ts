/** Section 9 by brute force: the information of a candidate, over ordered sequences of outcomes. */
import { countedStarts } from "./belief.js";
import { readingDensity, unlistedDensity } from "./chances.js";
import { afterRepair, findingChance, logEvidence, members, startChances, weighDense, type DenseModel, type DenseStep } from "./dense.js";
import type { RateNode } from "./halfline.js";
import { sumLogs } from "./logs.js";
import { logUnlisted } from "./unlisted.js";

export interface Candidate {
  /** reseating and repair that the candidate itself does, before anything is seen; one after the other */
  clears: number[][];
  exposures: number[];
  setup: string;
  n: number;
}

export type Target = "active" | "root";

/** Every ordered sequence of n outcomes out of 0 … last. */
export function sequences(n: number, last: number): number[][] {
  if (n === 0) return [[]];
  return sequences(n - 1, last).flatMap((head) => Array.from({ length: last + 1 }, (_, o) => [...head, o]));
}

/** I(Z; Y) in bits, Z what is active before the candidate (or the root cause), Y the counts of outcomes. */
export function information(model: DenseModel, steps: DenseStep[], candidate: Candidate, target: Target = "active"): number {
  return bits(joint(model, steps, candidate, target));
}

/** P(z, y) as z → y → chance. */
function joint(model: DenseModel, steps: DenseStep[], candidate: Candidate, target: Target) {
  const all = sequences(candidate.n, model.stages);
  const keyOf = (y: number[]) => [...y].sort((a, b) => a - b).join(" ");
  const keys = [...new Set(all.map(keyOf))];
  const place = all.map((y) => keys.indexOf(keyOf(y)));
  const counts = (chanceOf: (y: number[]) => number) => {
    const row = keys.map(() => 0);
    all.forEach((y, k) => (row[place[k]!]! += chanceOf(y)));
    return row;
  };
  const of = (mask: number, set: number[], rates: RateNode[]) => {
    let weights: ArrayLike<number> = Array.from({ length: 1 << set.length }, (_, g) => (g === mask ? 1 : 0));
    for (const clears of candidate.clears) weights = afterRepair(weights, set, clears);
    const row = keys.map(() => 0);
    for (let g = 0; g < weights.length; g++) {
      if (weights[g] === 0) continue;
      const chances = startChances(model, candidate.exposures, members(g, set), rates.filter((_, k) => (g >> k) & 1));
      counts((y) => y.reduce((p, o) => p * chances[o]!, weights[g]!)).forEach((p, k) => (row[k]! += p));
    }
    return row;
  };
  const table = weighDense(model, steps, { probe: { length: keys.length, of } });
  const total = logEvidence(table, steps.length);
  const rows = new Map<string, number[]>();
  const add = (z: string, row: number[]) => rows.set(z, row.map((p, k) => p + (rows.get(z)?.[k] ?? 0)));
  for (const { causes, probed } of table.sets)
    probed.forEach((row, mask) =>
      add(target === "root" ? causes.join(" ") : members(mask, causes).join(" "), row.map((x) => Math.exp(x - total))),
    );
  const past = countedStarts(steps);
  const now = logUnlisted(past, model.stages);
  const next = (y: number[]) =>
    logUnlisted([...past, ...y.map((o) => ({ outcomes: [o], n: 1, trust: 1, setup: candidate.setup }))], model.stages);
  add("unlisted", counts((y) => Math.exp(table.unlisted[steps.length]! - total + next(y) - now)));
  return [...rows.values()];
}

const plogp = (p: number) => (p > 0 ? p * Math.log2(p) : 0);

/** Mutual information of a joint table, summed term by term so that a tiny one is not lost in a difference. */
export function bits(joint: number[][]): number {
  const ofY = joint[0]!.map((_, k) => joint.reduce((sum, row) => sum + row[k]!, 0));
  let sum = 0;
  for (const row of joint) {
    const ofZ = row.reduce((a, b) => a + b, 0);
    row.forEach((p, k) => {
      if (p > 0) sum += p * Math.log2(p / (ofZ * ofY[k]!));
    });
  }
  return sum;
}

/** H(ordered outcomes of n more starts), bits. */
export function sequenceEntropy(model: DenseModel, steps: DenseStep[], exposures: number[], setup: string, n: number): number {
  const all = sequences(n, model.stages);
  const of = (mask: number, set: number[], rates: RateNode[]) => {
    const chances = startChances(model, exposures, members(mask, set), rates.filter((_, k) => (mask >> k) & 1));
    return all.map((y) => y.reduce((p, o) => p * chances[o]!, 1));
  };
  const table = weighDense(model, steps, { probe: { length: all.length, of } });
  const total = logEvidence(table, steps.length);
  const past = countedStarts(steps);
  const now = logUnlisted(past, model.stages);
  return -all.reduce((sum, y, k) => {
    const listed = sumLogs(table.sets.flatMap((x) => x.probed.map((row) => row[k]!)));
    const seen = [...past, ...y.map((o) => ({ outcomes: [o], n: 1, trust: 1, setup }))];
    const other = table.unlisted[steps.length]! + logUnlisted(seen, model.stages) - now;
    return sum + plogp(Math.exp(sumLogs([listed, other]) - total));
  }, 0);
}

/** H(value of a finding that has not been made before), bits. */
export function findingEntropy(model: DenseModel, steps: DenseStep[], finding: DenseStep & { kind: "finding" }): number {
  const table = weighDense(model, steps);
  const total = logEvidence(table, steps.length);
  return -Array.from({ length: finding.values }, (_, value) => {
    const listed = table.sets.flatMap(({ causes, logMass }) =>
      logMass[steps.length]!.map((x, mask) => x + Math.log(findingChance(finding, members(mask, causes), value))),
    );
    const other = table.unlisted[steps.length]! + Math.log(0.5 * findingChance(finding, [], value) + 0.5 / finding.values);
    return plogp(Math.exp(sumLogs([...listed, other]) - total));
  }).reduce((a, b) => a + b, 0);
}

/** Differential entropy of a reading in its own unit, bits: composite Simpson between the points where it may jump. */
export function readingEntropy(model: DenseModel, steps: DenseStep[], reading: DenseStep & { kind: "reading" }): number {
  const table = weighDense(model, steps);
  const total = logEvidence(table, steps.length);
  const weights = table.sets.flatMap(({ causes, logMass }) =>
    logMass[steps.length]!.map((x, mask) => ({ p: Math.exp(x - total), shifts: present(reading, members(mask, causes)) })),
  );
  const unlisted = Math.exp(table.unlisted[steps.length]! - total);
  const minusPlogp = (x: number) => {
    const listed = weights.reduce((sum, { p, shifts }) => (p > 0 ? sum + p * readingDensity(x, reading, shifts) : sum), 0);
    return -plogp(listed + unlisted * unlistedDensity(x, reading));
  };
  const bells = [reading.healthy, ...reading.shifts.filter((x) => x !== null)];
  const finest = Math.min(...bells.map((x) => x.s));
  const [low, high] = reading.range;
  const ends = [Math.min(low, ...bells.map((x) => x.m - 12 * x.s)), low, high, Math.max(high, ...bells.map((x) => x.m + 12 * x.s))];
  let entropy = 0;
  // a hair inside each end: the density jumps where the instrument's range begins and ends
  for (let k = 0; k < 3; k++) entropy += simpson(minusPlogp, ends[k]!, ends[k + 1]!, finest / 40);
  return entropy;
}

const present = (reading: DenseStep & { kind: "reading" }, active: number[]) =>
  active.map((i) => reading.shifts[i]).filter((x) => x !== null && x !== undefined);

function simpson(f: (x: number) => number, from: number, to: number, wanted: number): number {
  if (!(to > from)) return 0;
  const hair = (to - from) * 1e-13;
  const [a, b] = [from + hair, to - hair];
  const pieces = 2 * Math.ceil((b - a) / wanted / 2);
  const h = (b - a) / pieces;
  let sum = f(a) + f(b);
  for (let k = 1; k < pieces; k++) sum += f(a + k * h) * (k % 2 === 1 ? 4 : 2);
  return (sum * h) / 3;
}
