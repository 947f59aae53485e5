/**
 * The slow oracle: sections 2–9 of the model by plain enumeration, sharing no code with the engine.
 *
 * Every set F of at most K causes, every still-active subset G and a dense grid of rates are written out; each step of
 * the record multiplies, or moves weight between the G. Costs N^K per step: for a handful of causes only.
 */
import {
  rankedChances,
  readingDensity,
  unlistedDensity,
  type Instrument,
  type Shift,
  type Shower,
} from "./chances.js";
import { rateNodes, type Intermittent, type Part, type RateNode } from "./halfline.js";
import { Accumulator, sumLogs } from "./logs.js";
import { logUnlisted, type Counted, type Seen } from "./unlisted.js";

export type DenseCause = Intermittent & { id: string; odds: number; signature: number[] };

export interface DenseModel {
  stages: number;
  leak: { chance: number; signature: number[] };
  nothing: number;
  unlisted: number;
  maxCauses: number;
  causes: DenseCause[];
}

/** Per cause in the order of the model; 0 or null where a cause takes no part. */
export type DenseStep =
  | { kind: "starts"; exposures: number[]; seen: Seen[]; trust: number; setup: string }
  | { kind: "repair"; clears: number[] }
  | { kind: "finding"; phi: (number[] | null)[]; base: number[]; value: number; values: number }
  | ({ kind: "reading"; shifts: (Shift | null)[]; x: number } & Instrument);

/** Something averaged over the belief after the last step: a vector for each (active subset of a set, rates of the set). */
export type Probe = (mask: number, set: number[], rates: RateNode[]) => ArrayLike<number>;

/** What one set F holds: ln P(F, G, steps so far) for every G (a bit mask over F), after each step; [0] is the prior. */
export interface SetMass {
  causes: number[];
  logMass: number[][];
  /** ln of the probe's sums for each G; empty without a probe */
  probed: number[][];
}

export interface Table {
  model: DenseModel;
  steps: DenseStep[];
  sets: SetMass[];
  /** ln P(unlisted, steps so far) */
  unlisted: number[];
}

export interface Effort {
  /** how far nothing may move when the step of the grid is halved */
  within?: number;
  /** only this part of the rate of one cause, in the sets that have it */
  part?: { cause: number; part: Part };
  probe?: { length: number; of: Probe };
}

export const members = (mask: number, set: readonly number[]): number[] =>
  set.filter((_, k) => (mask >> k) & 1);

/** All subsets of 0 … n − 1 with at most `most` members, the empty one first. */
export function subsets(n: number, most: number): number[][] {
  const all: number[][] = [[]];
  for (let i = 0; i < n; i++) for (const set of [...all]) if (set.length < most) all.push([...set, i]);
  return all.sort((x, y) => x.length - y.length);
}

/** Chance of each outcome of one start, with these causes active at these rates. */
export function startChances(
  model: DenseModel,
  exposures: number[],
  active: number[],
  rates: RateNode[],
): number[] {
  const { chance, signature } = model.leak;
  const sources: Shower[] = [{ show: chance, rest: 1 - chance, signature }];
  active.forEach((cause, k) => {
    const e = exposures[cause]!;
    if (e === 0) return;
    const { r, rest, logRest } = rates[k]!;
    const own = model.causes[cause]!.signature;
    if (e === 1) sources.push({ show: r, rest, signature: own });
    else sources.push({ show: -Math.expm1(e * logRest), rest: Math.exp(e * logRest), signature: own });
  });
  return rankedChances(sources, model.stages);
}

export function logPriors(model: DenseModel): { sets: number[][]; logs: number[] } {
  const sets = subsets(model.causes.length, model.maxCauses);
  const odds = sets.map((set) => set.reduce((product, i) => product * model.causes[i]!.odds, 1));
  const kept = odds.slice(1).reduce((a, b) => a + b, 0);
  const { nothing, unlisted } = model;
  if (kept === 0) return { sets: [[]], logs: [Math.log(nothing / (nothing + unlisted))] };
  return {
    sets,
    logs: odds.map((o, k) => Math.log(k === 0 ? nothing : ((1 - nothing - unlisted) * o) / kept)),
  };
}

/** Prior mass that the sets of more than K causes would have had. */
export function truncated(model: DenseModel): number {
  const weight = (most: number) =>
    subsets(model.causes.length, most).reduce(
      (sum, set) => sum + set.reduce((p, i) => p * model.causes[i]!.odds, 1),
      -1,
    );
  const all = weight(model.causes.length);
  return all === 0 ? 0 : (1 - model.nothing - model.unlisted) * (1 - weight(model.maxCauses) / all);
}

export function weighDense(model: DenseModel, steps: DenseStep[], effort: Effort = {}): Table {
  const { sets, logs } = logPriors(model);
  return {
    model,
    steps,
    sets: sets.flatMap((causes, k) => {
      if (effort.part && !causes.includes(effort.part.cause)) return [];
      const { logMass, probed } = converged(model, causes, steps, effort);
      const weighted = (rows: number[][]) => rows.map((row) => row.map((x) => x + logs[k]!));
      return [{ causes, logMass: weighted(logMass), probed: weighted(probed) }];
    }),
    unlisted: unlistedLogs(model, steps),
  };
}

/** ln P(unlisted, steps so far): starts from the urns, findings and readings by their halves. */
function unlistedLogs(model: DenseModel, steps: DenseStep[]): number[] {
  const { nothing, unlisted } = model;
  const known = logPriors(model).sets.length > 1 ? unlisted : unlisted / (nothing + unlisted);
  const logs = [Math.log(known)];
  const counted: Counted[] = [];
  let looks = Math.log(known);
  let urn = 0;
  for (const step of steps) {
    if (step.kind === "starts") {
      counted.push(...step.seen.map((x) => ({ ...x, trust: step.trust, setup: step.setup })));
      urn = logUnlisted(counted, model.stages);
    }
    if (step.kind === "reading") looks += Math.log(unlistedDensity(step.x, step));
    if (step.kind === "finding")
      looks += Math.log(0.5 * findingChance(step, [], step.value) + 0.5 / step.values);
    logs.push(looks + urn);
  }
  return logs;
}

export function findingChance(
  step: DenseStep & { kind: "finding" },
  active: number[],
  value: number,
): number {
  const sources = [
    ...active.map((i) => step.phi[i]).filter((phi) => phi !== null && phi !== undefined),
    step.base,
  ];
  const ranked = sources.map((phi) => {
    const show = phi.reduce((a, b) => a + b, 0);
    return { show, rest: 1 - show, signature: phi.map((p) => (show === 0 ? 0 : p / show)) };
  });
  return rankedChances(ranked, step.values - 1)[value]!;
}

/** Halve the grid until no mass moves by more than `within` of the largest of its row; then check what was dropped. */
function converged(model: DenseModel, causes: number[], steps: DenseStep[], effort: Effort): SetMass {
  const within = effort.within ?? 1e-12;
  const sharp = steps.reduce(
    (n, x) => n + (x.kind === "starts" ? x.seen.reduce((m, y) => m + y.n, 0) : 0),
    0,
  );
  let step = Math.min(1 / 4, 1 / Math.sqrt(4 + sharp));
  let drop = -46;
  let last = walk(model, causes, steps, step, drop, effort);
  if (causes.every((i) => "fixed" in model.causes[i]!)) return last;
  for (let halvings = 0; halvings < 8; halvings++) {
    step /= 2;
    const next = walk(model, causes, steps, step, drop, effort);
    const lost = Math.exp(drop) * bestFactor(model, causes, steps) * 1e3;
    const least = Math.max(...next.logMass[steps.length]!);
    if (Math.log(lost) > least + Math.log(within / 10) && drop > -700) {
      drop = Math.max(-700, Math.min(drop * 2, least + Math.log(within / 10) - 20));
      step *= 2;
      last = walk(model, causes, steps, step, drop, effort);
    } else {
      if (moved(last, next) < within) return next;
      last = next;
    }
  }
  throw new Error(
    `oracle: found masses still moving for causes ${causes.join(" ")}, expected them within ${within}`,
  );
}

/** Largest product of what findings and readings can multiply by: starts only ever multiply by at most 1. */
function bestFactor(model: DenseModel, causes: number[], steps: DenseStep[]): number {
  let best = 1;
  for (const step of steps)
    if (step.kind === "finding" || step.kind === "reading") best *= Math.max(...lookFactors(step, causes));
  return best;
}

function moved(one: SetMass, two: SetMass): number {
  let most = 0;
  const rows = (x: SetMass) => [...x.logMass, ...x.probed];
  rows(one).forEach((row, t) => {
    const other = rows(two)[t]!;
    const top = Math.max(...row, ...other);
    if (top > -Infinity)
      row.forEach((x, g) => (most = Math.max(most, Math.abs(Math.exp(x - top) - Math.exp(other[g]! - top)))));
  });
  return most;
}

/** P(finding or reading | G) for every G. */
function lookFactors(step: DenseStep & { kind: "finding" | "reading" }, causes: number[]): number[] {
  return Array.from({ length: 1 << causes.length }, (_, mask) => {
    const active = members(mask, causes);
    if (step.kind === "finding") return findingChance(step, active, step.value);
    return readingDensity(
      step.x,
      step,
      active.map((i) => step.shifts[i]).filter((x) => x !== null && x !== undefined),
    );
  });
}

/** w′(G′) = Σ_G T(G → G′) w(G): each member of G leaves independently. */
export function afterRepair(weights: ArrayLike<number>, causes: number[], clears: number[]): Float64Array {
  const next = new Float64Array(weights.length);
  for (let from = 0; from < weights.length; from++) {
    for (let to = from; ; to = (to - 1) & from) {
      let chance = 1;
      causes.forEach((i, k) => {
        if ((from >> k) & 1) chance *= (to >> k) & 1 ? 1 - clears[i]! : clears[i]!;
      });
      next[to]! += chance * weights[from]!;
      if (to === 0) break;
    }
  }
  return next;
}

/** One pass over the grid of rates of this set. */
function walk(
  model: DenseModel,
  causes: number[],
  steps: DenseStep[],
  h: number,
  drop: number,
  effort: Effort,
): SetMass {
  const { part, probe } = effort;
  const grids = causes.map((i) =>
    rateNodes(model.causes[i]!, h, drop, part?.cause === i ? part.part : "all"),
  );
  const masks = 1 << causes.length;
  const tables = steps.map((x) => (x.kind === "starts" ? startTables(model, causes, grids, x) : null));
  const looks = steps.map((x) =>
    x.kind === "finding" || x.kind === "reading" ? lookFactors(x, causes) : null,
  );
  const rows = Array.from({ length: steps.length + 1 }, () => new Accumulator(masks));
  const probed = Array.from({ length: probe ? masks : 0 }, () => new Accumulator(probe!.length));
  const index = grids.map(() => 0);
  if (grids.some((grid) => grid.length === 0))
    return { causes, logMass: rows.map((x) => x.logs()), probed: probed.map((x) => x.logs()) };
  do {
    let scale = index.reduce((sum, k, d) => sum + grids[d]![k]!.logWeight, 0);
    let weights: Float64Array = new Float64Array(masks);
    weights[masks - 1] = 1;
    rows[0]!.add(scale, weights);
    steps.forEach((step, t) => {
      if (step.kind === "repair") weights = afterRepair(weights, causes, step.clears);
      else scale = multiply(weights, scale, (mask) => tables[t]?.(mask, index) ?? Math.log(looks[t]![mask]!));
      rows[t + 1]!.add(scale, weights);
    });
    if (probe)
      for (let mask = 0; mask < masks; mask++) {
        if (weights[mask] === 0) continue;
        const rates = index.map((k, d) => grids[d]![k]!);
        probed[mask]!.add(scale + Math.log(weights[mask]!), probe.of(mask, causes, rates));
      }
  } while (advance(index, grids));
  return { causes, logMass: rows.map((x) => x.logs()), probed: probed.map((x) => x.logs()) };
}

/** The next point of the grid, the last rate turning fastest; false after the last. */
function advance(index: number[], grids: RateNode[][]): boolean {
  for (let d = index.length - 1; d >= 0; d--) {
    if (++index[d]! < grids[d]!.length) return true;
    index[d] = 0;
  }
  return false;
}

/** Multiplies each weight by e^log(mask), keeping the largest at 1; returns the new scale. */
function multiply(weights: Float64Array, scale: number, log: (mask: number) => number): number {
  let top = -Infinity;
  for (let mask = 0; mask < weights.length; mask++) if (weights[mask]! > 0) top = Math.max(top, log(mask));
  if (top === -Infinity) return top;
  let most = 0;
  for (let mask = 0; mask < weights.length; mask++) {
    if (weights[mask]! > 0) weights[mask]! *= Math.exp(log(mask) - top);
    most = Math.max(most, weights[mask]!);
  }
  // a repair may have gathered more than 1 in one place
  for (let mask = 0; mask < weights.length; mask++) weights[mask]! /= most;
  return scale + top + Math.log(most);
}

/** ln P(these starts | G, rates), tabulated over the rates of the members of each G that is asked for. */
function startTables(
  model: DenseModel,
  causes: number[],
  grids: RateNode[][],
  step: DenseStep & { kind: "starts" },
) {
  const tabulate = (mask: number) => {
    const dims = causes.map((_, d) => d).filter((d) => (mask >> d) & 1);
    const own = dims.map((d) => grids[d]!);
    const active = dims.map((d) => causes[d]!);
    const table: number[] = [];
    const index = dims.map(() => 0);
    do {
      const rates = index.map((k, j) => own[j]![k]!);
      const chances = startChances(model, step.exposures, active, rates);
      table.push(logSeen(step, chances));
    } while (advance(index, own));
    return { dims, table };
  };
  const tables: ReturnType<typeof tabulate>[] = [];
  return (mask: number, index: number[]): number => {
    const { dims, table } = (tables[mask] ??= tabulate(mask));
    let at = 0;
    for (const d of dims) at = at * grids[d]!.length + index[d]!;
    return table[at]!;
  };
}

/** ln of the chance of what was seen, each start to the power of its trust. */
function logSeen(step: DenseStep & { kind: "starts" }, chances: number[]): number {
  let log = 0;
  for (const { outcomes, n } of step.seen) {
    let p = 0;
    for (const o of outcomes) p += chances[o]!;
    log += n * step.trust * Math.log(p);
  }
  return log;
}

/** ln P(the first t steps). */
export const logEvidence = (table: Table, t: number): number =>
  sumLogs([...table.sets.flatMap((x) => x.logMass[t]!), table.unlisted[t]!]);
