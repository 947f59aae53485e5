/** What the oracle's table says after its first t steps: sections 7 and 8. */
import {
  logEvidence,
  members,
  startChances,
  weighDense,
  type DenseModel,
  type DenseStep,
  type Table,
} from "./dense.js";
import type { Part, RateNode } from "./halfline.js";
import { sumLogs } from "./logs.js";
import { unlistedNext, type Counted } from "./unlisted.js";

export interface Snapshot {
  /** P(i ∈ F), P(i ∈ G), and P(i ∈ G, exposed) per cause */
  present: number[];
  active: number[];
  atWork: number[];
  none: number;
  unlisted: number;
  nothingAtWork: number;
  sets: { causes: number[]; p: number }[];
}

export function snapshot(table: Table, t: number, exposures: number[]): Snapshot {
  const total = logEvidence(table, t);
  const chance = (keep: (set: number[], active: number[]) => boolean) =>
    Math.exp(
      sumLogs(
        table.sets.flatMap(({ causes, logMass }) =>
          logMass[t]!.filter((_, mask) => keep(causes, members(mask, causes))),
        ),
      ) - total,
    );
  const causes = table.model.causes.map((_, i) => i);
  const active = causes.map((i) => chance((_, g) => g.includes(i)));
  return {
    present: causes.map((i) => chance((f) => f.includes(i))),
    active,
    atWork: causes.map((i) => (exposures[i]! > 0 ? active[i]! : 0)),
    none: chance((f) => f.length === 0),
    unlisted: Math.exp(table.unlisted[t]! - total),
    nothingAtWork: chance((_, g) => g.every((i) => exposures[i] === 0)),
    sets: table.sets.map((x) => ({ causes: x.causes, p: Math.exp(sumLogs(x.logMass[t]!) - total) })),
  };
}

/** Weight of evidence of the steps from `from` to `to`, in decibans, for a hypothesis against all else; NaN where undefined. */
export function decibans(
  table: Table,
  from: number,
  to: number,
  holds: (set: number[] | "unlisted") => boolean,
): number {
  const side = (t: number, wanted: boolean) =>
    sumLogs([
      ...table.sets.filter((x) => holds(x.causes) === wanted).flatMap((x) => x.logMass[t]!),
      ...(holds("unlisted") === wanted ? [table.unlisted[t]!] : []),
    ]);
  return ((side(to, true) - side(from, true) - side(to, false) + side(from, false)) * 10) / Math.LN10;
}

/** A table that also averages each cause's rate and the outcomes of one more start, in one pass. */
export function weighWithProbe(
  model: DenseModel,
  steps: DenseStep[],
  exposures: number[],
  within?: number,
): Table {
  const C = model.causes.length;
  const of = (mask: number, set: number[], rates: RateNode[]) => {
    const row = Array<number>(C).fill(0);
    set.forEach((cause, k) => (row[cause] = rates[k]!.r));
    return [
      ...row,
      ...startChances(
        model,
        exposures,
        members(mask, set),
        rates.filter((_, k) => (mask >> k) & 1),
      ),
    ];
  };
  return weighDense(model, steps, {
    probe: { length: C + model.stages + 1, of },
    ...(within ? { within } : {}),
  });
}

/** E[r_i | i ∈ F] of every cause; NaN where it cannot be a cause. */
export function rateMeans({ model, sets, steps }: Table): number[] {
  return model.causes.map((_, i) => {
    const having = sets.filter((x) => x.causes.includes(i));
    const mass = sumLogs(having.flatMap((x) => x.logMass[steps.length]!));
    return Math.exp(sumLogs(having.flatMap((x) => x.probed.map((row) => row[i]!))) - mass);
  });
}

/** P(this part of the rates of cause i | i ∈ F): `hard`, or r_i ≤ t. */
export function rateShare(table: Table, cause: number, part: Part): number {
  const { model, steps } = table;
  const mass = (of: Table) =>
    sumLogs(of.sets.filter((x) => x.causes.includes(cause)).flatMap((x) => x.logMass[steps.length]!));
  return Math.exp(mass(weighDense(model, steps, { part: { cause, part }, within: 1e-11 })) - mass(table));
}

/** Chance of each outcome of one more start: the listed causes at their rates, `unlisted` by its urns. */
export function predictive(table: Table, setup: string): number[] {
  const { model, steps, sets } = table;
  const total = logEvidence(table, steps.length);
  const unlisted = unlistedNext(countedStarts(steps), model.stages, setup);
  return unlisted.map((p, o) => {
    const listed = sets.flatMap((x) => x.probed.map((row) => row[model.causes.length + o]!));
    return Math.exp(sumLogs(listed) - total) + p * Math.exp(table.unlisted[steps.length]! - total);
  });
}

export const countedStarts = (steps: DenseStep[]): Counted[] =>
  steps.flatMap((x) =>
    x.kind === "starts" ? x.seen.map((y) => ({ ...y, trust: x.trust, setup: x.setup })) : [],
  );
