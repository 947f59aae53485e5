/** Section 9 by brute force: the information of a candidate, over ordered sequences of outcomes. */
import { countedStarts } from "./belief.js";
import { readingDensity, unlistedDensity } from "./chances.js";
import {
  afterRepair,
  findingChance,
  logEvidence,
  members,
  startChances,
  weighDense,
  type DenseModel,
  type DenseStep,
  type Table,
} from "./dense.js";
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
export function information(
  model: DenseModel,
  steps: DenseStep[],
  candidate: Candidate,
  target: Target = "active",
  within = 1e-12,
): number {
  return bits(joint(model, steps, candidate, target, within));
}

/** P(z, y), a row for each z. */
function joint(model: DenseModel, steps: DenseStep[], candidate: Candidate, target: Target, within: number) {
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
      const chances = startChances(
        model,
        candidate.exposures,
        members(g, set),
        rates.filter((_, k) => (g >> k) & 1),
      );
      counts((y) => y.reduce((p, o) => p * chances[o]!, weights[g]!)).forEach((p, k) => (row[k]! += p));
    }
    return row;
  };
  const table = weighDense(model, steps, { probe: { length: keys.length, of }, within });
  const total = logEvidence(table, steps.length);
  const rows = new Map<string, number[]>();
  const add = (z: string, row: number[]) =>
    rows.set(
      z,
      row.map((p, k) => p + (rows.get(z)?.[k] ?? 0)),
    );
  for (const { causes, probed } of table.sets)
    probed.forEach((row, mask) =>
      add(
        valueOf(target, causes, mask),
        row.map((x) => Math.exp(x - total)),
      ),
    );
  const past = countedStarts(steps);
  const now = logUnlisted(past, model.stages);
  const next = (y: number[]) =>
    logUnlisted(
      [...past, ...y.map((o) => ({ outcomes: [o], n: 1, trust: 1, setup: candidate.setup }))],
      model.stages,
    );
  add(
    "unlisted",
    counts((y) => Math.exp(table.unlisted[steps.length]! - total + next(y) - now)),
  );
  return [...rows.values()];
}

const valueOf = (target: Target, causes: number[], mask: number) =>
  (target === "root" ? causes : members(mask, causes)).join(" ");

/** Values of the target with their chance, and the active sets behind each: all that a look can depend on. */
function worlds(table: Table, target: Target): { z: string; p: number; active: number[] | "unlisted" }[] {
  const t = table.steps.length;
  const total = logEvidence(table, t);
  return [
    ...table.sets.flatMap(({ causes, logMass }) =>
      logMass[t]!.map((x, mask) => ({
        z: valueOf(target, causes, mask),
        p: Math.exp(x - total),
        active: members(mask, causes),
      })),
    ),
    { z: "unlisted", p: Math.exp(table.unlisted[t]! - total), active: "unlisted" as const },
  ];
}

/** Chances of an answer by value of the target: a row for each. */
function byTarget(
  table: Table,
  target: Target,
  chance: (active: number[] | "unlisted") => number[],
): number[][] {
  const rows = new Map<string, number[]>();
  for (const { z, p, active } of worlds(table, target)) {
    const old = rows.get(z);
    rows.set(
      z,
      chance(active).map((x, k) => p * x + (old?.[k] ?? 0)),
    );
  }
  return [...rows.values()];
}

/** H(Z), bits. */
export function targetEntropy(table: Table, target: Target): number {
  return -byTarget(table, target, () => [1]).reduce((sum, [p]) => sum + plogp(p!), 0);
}

export const findingInformation = (
  table: Table,
  finding: DenseStep & { kind: "finding" },
  target: Target,
): number => bits(byTarget(table, target, (active) => findingValues(finding, active)));

const findingValues = (finding: DenseStep & { kind: "finding" }, active: number[] | "unlisted"): number[] =>
  Array.from({ length: finding.values }, (_, value) =>
    active === "unlisted"
      ? 0.5 * findingChance(finding, [], value) + 0.5 / finding.values
      : findingChance(finding, active, value),
  );

/** I(Z; reading): the integral of the joint density's logarithm, between the points where it may jump. */
export function readingInformation(
  table: Table,
  reading: DenseStep & { kind: "reading" },
  target: Target,
): number {
  return integrate(reading, (x) =>
    bits(
      byTarget(table, target, (active) => [readingAt(x, reading, active)]),
      byTarget(table, target, () => [1]),
    ),
  );
}

const readingAt = (x: number, reading: DenseStep & { kind: "reading" }, active: number[] | "unlisted") =>
  active === "unlisted" ? unlistedDensity(x, reading) : readingDensity(x, reading, present(reading, active));

const plogp = (p: number) => (p > 0 ? p * Math.log2(p) : 0);

/**
 * Mutual information of a joint table, summed term by term so that a tiny one is not lost in a difference.
 * @param given  P(z), where the columns of the table are not all there are
 */
export function bits(joint: number[][], given?: number[][]): number {
  const ofY = joint[0]!.map((_, k) => joint.reduce((sum, row) => sum + row[k]!, 0));
  let sum = 0;
  for (const [z, row] of joint.entries()) {
    const ofZ = given ? given[z]![0]! : row.reduce((a, b) => a + b, 0);
    row.forEach((p, k) => {
      if (p > 0) sum += p * Math.log2(p / (ofZ * ofY[k]!));
    });
  }
  return sum;
}

/** H(ordered outcomes of n more starts), bits. */
export function sequenceEntropy(
  model: DenseModel,
  steps: DenseStep[],
  exposures: number[],
  setup: string,
  n: number,
): number {
  const all = sequences(n, model.stages);
  const of = (mask: number, set: number[], rates: RateNode[]) => {
    const chances = startChances(
      model,
      exposures,
      members(mask, set),
      rates.filter((_, k) => (mask >> k) & 1),
    );
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
export function findingEntropy(table: Table, finding: DenseStep & { kind: "finding" }): number {
  const rows = worlds(table, "root").map(({ p, active }) => findingValues(finding, active).map((x) => p * x));
  return -findingValues(finding, []).reduce(
    (sum, _, v) => sum + plogp(rows.reduce((p, row) => p + row[v]!, 0)),
    0,
  );
}

/** Differential entropy of a reading in its own unit, bits. */
export function readingEntropy(table: Table, reading: DenseStep & { kind: "reading" }): number {
  const all = worlds(table, "root").filter(({ p }) => p > 0);
  return integrate(
    reading,
    (x) => -plogp(all.reduce((sum, { p, active }) => sum + p * readingAt(x, reading, active), 0)),
  );
}

/** Composite Simpson over all a reading can show, in pieces between the points where its density may jump. */
function integrate(reading: DenseStep & { kind: "reading" }, f: (x: number) => number): number {
  const bells = [reading.healthy, ...reading.shifts.filter((x) => x !== null)];
  const finest = Math.min(...bells.map((x) => x.s));
  const [low, high] = reading.range;
  const near = [Math.min(...bells.map((x) => x.m - 12 * x.s)), Math.max(...bells.map((x) => x.m + 12 * x.s))];
  const ends = [...near, low, high].sort((a, b) => a - b);
  // outside the bells there is nothing but the flat part, and nothing at all outside the range
  return ends
    .slice(1)
    .reduce(
      (sum, end, k) => sum + simpson(f, ends[k]!, end, k === 1 ? finest / 30 : (end - ends[k]!) / 2000),
      0,
    );
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
