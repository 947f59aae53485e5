/**
 * The belief: weights over every hypothesis (which causes were present, which of them are still at work, at what rates),
 * and the three things that can happen to it.
 *
 *   starts    w(F, G, r) ← w(F, G, r) · P(seen | G, r)^trust
 *   leaving   w(F, G′, r) ← Σ_G T(G → G′) w(F, G, r), each i leaving G with its own efficacy; the rates are carried along
 *   a look    w(F, G, r) ← w(F, G, r) · P(seen | G)
 *
 * G is a mask over F's members. Source: project model, sections 5 to 7.
 */
import type { Model } from "./model.js";
import { MAX_SIZE } from "./sets.js";
import { outcomeChance } from "./outcomes.js";
import { axisOf, idleAxis, UNIT, weighTrials, type Axis, type StopRow } from "./kernel.js";
import { degreeOf, isClean, planRates, usedBy, type Plan } from "./rates.js";
import * as spare from "./spare.js";
import type { LeaveStep, LookStep, Step, TrialsStep } from "./steps.js";
import { addStarts, emptyUnlisted, logUnlisted, type Unlisted } from "./unlisted.js";
import { power } from "../numeric/power.js";
import { chancesAt, type Rule } from "../numeric/rule.js";

export interface Belief {
  model: Model;
  plan: Plan;
  history: readonly Step[];
  /** weights over the grid of its members' rates, for each (set, mask) of any weight */
  grid: Grid;
  /** P(F, G | record) is factor · Σ grid */
  factor: Float64Array;
  /** P(F, G | record) at set · masks + mask */
  mass: Float64Array;
  /** number of masks a set has room for, 2^K */
  masks: number;
  unlisted: Unlisted;
  /** P(unlisted | record) */
  unlistedMass: number;
  /** ln P(record) */
  logEvidence: number;
}

/** All grids in one array: tens of thousands of small ones would cost more than their numbers. */
export interface Grid {
  values: Float64Array;
  /** where the grid of (set, mask) begins, at set · masks + mask; −1 where it has no weight */
  offset: Int32Array;
  /** points of each set's grid; length sets.count */
  points: Int32Array;
}

/** More grid points than this (8 bytes each, and two or three beliefs at a time) would not fit in memory. */
const MOST_POINTS = 6e7;
/** Where a cause may have left or not, weights grow, and will again: what is set aside costs nothing until it is used. */
const ROOM = 1.25;
/** Starts weighed at once: beyond, the batch is split, so that no product underflows before it is rescaled. */
const CHUNK = 64;

/**
 * The belief before the record.
 * @param ahead     the steps that come first, which the rules are made to hold
 * @param foreseen  exposures that starts will have further on, so that the rules need not be made anew for each
 */
export function startBelief(
  model: Model,
  ahead: readonly Step[] = [],
  foreseen: readonly Float64Array[] = [],
): Belief {
  return replay(model, planRates(model, [], ahead, undefined, [], foreseen), []);
}

/** The belief after some more steps. */
export function advance(belief: Belief, steps: readonly Step[]): Belief {
  let next = belief;
  for (const step of steps) {
    const ready = succeeding(readyFor(next, step), next, belief);
    next = succeeding(weighed(ready, step, usedBy(step, ready.plan)), ready, belief);
  }
  return next;
}

/** A belief that takes the place of a former one, which is let go unless it is the given one or has weights in common. */
function succeeding(next: Belief, former: Belief, given: Belief | null): Belief {
  const isRead = [next, given].some((one) => one?.grid.values === former.grid.values);
  if (!isRead) spare.letGo(former.grid.values);
  return next;
}

/**
 * The same belief on rules that hold one more step.
 * @param ahead  what is known to come after it: rules made anew hold these too
 */
export function readyFor(belief: Belief, step: Step, ahead: readonly Step[] = []): Belief {
  if (belief.model.sets.maxCauses === 0 || degreeOf(step, belief.plan) <= belief.plan.room) return belief;
  return onPlan(belief, planRates(belief.model, belief.history, [step, ...ahead], belief.plan));
}

/**
 * The same belief on rules that answer questions about these exposures.
 * @param exposures  of each cause in the setups asked about; each of length C
 */
export function knowing(belief: Belief, exposures: readonly Float64Array[]): Belief {
  const { plan } = belief;
  const isKnown = (e: number, i: number) => e === 0 || plan.known[i]!.has(e) || plan.asked[i]!.has(e);
  if (plan.compact.length === 0 || exposures.every((exposure) => exposure.every(isKnown))) return belief;
  return onPlan(belief, planRates(belief.model, belief.history, [], plan, exposures));
}

const onPlan = (belief: Belief, plan: Plan): Belief => ({
  ...replay(belief.model, plan, belief.history),
  logEvidence: belief.logEvidence,
});

/** The grids of a new plan, brought to where a history ends. */
function replay(model: Model, plan: Plan, history: readonly Step[]): Belief {
  const { sets, prior } = model;
  const masks = 1 << sets.maxCauses;
  refuseTooMany(model, plan);
  const belief: Belief = {
    model,
    plan,
    history: [],
    grid: emptyGrid(model, plan, masks),
    factor: new Float64Array(sets.count * masks).fill(1),
    mass: new Float64Array(sets.count * masks),
    masks,
    unlisted: emptyUnlisted(model.stages.outcomes),
    unlistedMass: prior.unlisted,
    logEvidence: 0,
  };
  for (let f = 0; f < sets.count; f++) {
    const at = f * masks + (1 << sets.size[f]!) - 1;
    const sum = layProduct(belief.grid.values, belief.grid.offset[at]!, rulesOf(belief, f));
    belief.factor[at] = prior.set[f]!;
    belief.mass[at] = prior.set[f]! * sum;
  }
  return history.reduce((past, step) => succeeding(weighed(past, step, plan), past, null), belief);
}

/** Room for every set with all its causes at work. */
function emptyGrid({ sets }: Model, plan: Plan, masks: number): Grid {
  const points = new Int32Array(sets.count).fill(1);
  const offset = new Int32Array(sets.count * masks).fill(-1);
  let total = 0;
  for (let f = 0; f < sets.count; f++) {
    const rules = sets.size[f] === 1 ? plan.fine : plan.compact;
    for (let m = 0; m < sets.size[f]!; m++)
      points[f] = points[f]! * rules[sets.members[f * MAX_SIZE + m]!]!.rate.length;
    offset[f * masks + (1 << sets.size[f]!) - 1] = total;
    total += points[f]!;
  }
  return { values: spare.taken(total), offset, points };
}

function refuseTooMany(model: Model, plan: Plan): void {
  const { sets } = model;
  const sizes = plan.compact.map((rule) => rule.rate.length);
  let points = 0;
  for (let f = sets.start[2]!; f < sets.count; f++) {
    let product = 1;
    for (let m = 0; m < sets.size[f]!; m++) product *= sizes[sets.members[f * MAX_SIZE + m]!]!;
    points += product;
  }
  if (points > MOST_POINTS)
    throw new RangeError(
      `options.maxCauses: found ${sets.maxCauses} with ${sets.causes} causes, which needs ${points.toExponential(1)} grid points, ` +
        `expected at most ${MOST_POINTS.toExponential(0)}; ask for sets of fewer causes`,
    );
}

/** The rules of a set's members, in their order. */
function rulesOf(belief: Pick<Belief, "model" | "plan">, f: number): Rule[] {
  const { sets } = belief.model;
  const size = sets.size[f]!;
  const rules = size === 1 ? belief.plan.fine : belief.plan.compact;
  return Array.from({ length: size }, (_, m) => rules[sets.members[f * MAX_SIZE + m]!]!);
}

/** Products of the rules' weights, row-major, from `from` on. @returns their sum */
function layProduct(values: Float64Array, from: number, rules: readonly Rule[]): number {
  values[from] = 1;
  let length = 1;
  // from the last on, so that none is written over before it is read
  for (const { weight } of rules) {
    for (let k = length - 1; k >= 0; k--) {
      const one = values[from + k]!;
      for (let l = 0; l < weight.length; l++) values[from + k * weight.length + l] = one * weight[l]!;
    }
    length *= weight.length;
  }
  let sum = 0;
  for (let k = 0; k < length; k++) sum += values[from + k]!;
  return sum;
}

/**
 * One step on the grids as they are.
 * @param plan  what the rules still hold after it
 */
function weighed(belief: Belief, step: Step, plan: Plan): Belief {
  const next = { ...belief, plan, history: [...belief.history, step] };
  if (step.kind === "leave") return afterLeaving(next, step);
  if (step.kind === "look") return afterLook(next, step);
  return afterTrials(next, step, belief.history.length);
}

/** Divide by the total, which is P(step | past). */
function rescaled(belief: Belief): Belief {
  let total = belief.unlistedMass;
  for (const m of belief.mass) total += m;
  if (!(total > 0)) return { ...belief, logEvidence: -Infinity };
  for (let k = 0; k < belief.mass.length; k++) {
    belief.mass[k] = belief.mass[k]! / total;
    belief.factor[k] = belief.factor[k]! / total;
  }
  return {
    ...belief,
    unlistedMass: belief.unlistedMass / total,
    logEvidence: belief.logEvidence + Math.log(total),
  };
}

function afterTrials(belief: Belief, step: TrialsStep, index: number): Belief {
  const trials = step.rows.reduce((sum, row) => sum + row.n, 0);
  if (trials === 0) return belief;
  const unlisted = addStarts(belief.unlisted, step.key, step.rows, step.trust);
  const chunks = Math.ceil(trials / CHUNK);
  const logNew = (logUnlisted(unlisted) - logUnlisted(belief.unlisted)) / chunks;
  let next: Belief = { ...belief, unlisted };
  for (let chunk = 0; chunk < chunks; chunk++) {
    const former = { ...next, unlistedMass: next.unlistedMass * Math.exp(logNew) };
    next = succeeding(rescaled(oneChunk(former, step, index, step.trust / chunks)), former, belief);
  }
  return next;
}

/** A batch with every count multiplied by `portion`, which is exact: the likelihood is a product of powers. */
function oneChunk(belief: Belief, step: TrialsStep, index: number, portion: number): Belief {
  const { model, masks } = belief;
  const { sets, stages } = model;
  const clean = step.rows.filter((row) => isClean(row.wanted)).reduce((sum, row) => sum + row.n, 0) * portion;
  const stops = step.rows.filter((row) => !isClean(row.wanted));
  const axes = axesOf(belief, step, index, clean);
  const healthyClean = Math.pow(stages.healthyLater[stages.outcomes - 2]!, clean);
  const chanceOf = chanceTable(
    stops.map((row) => row.wanted),
    model,
    step.exposure,
  );
  const { offset, points, values: before } = belief.grid;
  const values = spare.taken(before.length);
  const mass = new Float64Array(belief.mass.length);
  const factor = new Float64Array(belief.factor.length).fill(1);
  for (let f = 0; f < sets.count; f++) {
    for (let mask = 0; mask < 1 << sets.size[f]!; mask++) {
      const at = f * masks + mask;
      if (offset[at]! < 0) continue;
      const { three, rows } = chanceOf(f, mask, axes, stops, portion);
      mass[at] = weighTrials(values, before, offset[at]!, three, rows, belief.factor[at]! * healthyClean);
    }
  }
  return { ...belief, grid: { values, offset, points }, mass, factor };
}

/** Axes of every cause in this batch: over the fine rule, over the compact rule, and idle. */
function axesOf(belief: Belief, step: TrialsStep, index: number, clean: number) {
  const { plan } = belief;
  const axis = (rule: Rule | undefined, exposure: number, cleans: number): Axis => {
    if (!rule) return UNIT;
    if (exposure === 0) return idleAxis(rule.rate.length);
    const { show, hide } = chancesAt(rule, exposure);
    return axisOf(show, hide, cleans === 0 ? null : hide.map((q) => power(q, cleans)));
  };
  const causes = belief.model.causes.map((_, i) => i);
  return {
    fine: causes.map((i) => axis(plan.fine[i], step.exposure[i]!, clean)),
    compact: causes.map((i) =>
      axis(plan.compact[i], step.exposure[i]!, index < plan.absorbedBefore[i]! ? 0 : clean),
    ),
    sizes: { fine: plan.fine.map((r) => r.rate.length), compact: plan.compact.map((r) => r.rate.length) },
  };
}

/** For a set and a mask: its three axes and, for each stop row, the chances by which of its active members show. */
function chanceTable(wanted: readonly Uint8Array[], model: Model, exposure: Float64Array) {
  const { sets, stages, causes } = model;
  const single = wanted.map((w) => ({
    none: outcomeChance(stages, w, -1, -1, -1),
    one: causes.map((_, i) => (exposure[i]! > 0 ? outcomeChance(stages, w, i, -1, -1) : 0)),
  }));
  // filled anew for each set and mask: the kernel has used them by then
  const three: [Axis, Axis, Axis] = [UNIT, UNIT, UNIT];
  const shows: [number, number, number] = [-1, -1, -1];
  const rows = wanted.map((): StopRow => ({ chance: new Float64Array(8), exponent: 1 }));
  return (
    f: number,
    mask: number,
    axes: ReturnType<typeof axesOf>,
    stops: readonly { n: number }[],
    portion: number,
  ) => {
    three.fill(UNIT);
    shows.fill(-1);
    const size = sets.size[f]!;
    const [own, sizes] = size === 1 ? [axes.fine, axes.sizes.fine] : [axes.compact, axes.sizes.compact];
    for (let m = 0; m < size; m++) {
      const i = sets.members[f * MAX_SIZE + m]!;
      const place = MAX_SIZE - size + m;
      const active = (mask & (1 << m)) !== 0 && exposure[i]! > 0;
      three[place] = active ? own[i]! : idleAxis(sizes[i]!);
      if (active) shows[place] = i;
    }
    const able = Number(shows[0] >= 0) + 2 * Number(shows[1] >= 0) + 4 * Number(shows[2] >= 0);
    stops.forEach((stop, k) => {
      const row = rows[k]!;
      row.exponent = stop.n * portion;
      row.chance.fill(0);
      for (let t = able; ; t = (t - 1) & able) {
        row.chance[t] = subsetChance(k, t);
        if (t === 0) break;
      }
    });
    return { three, rows };
  };

  /** P(row k | the members of subset t show, and no others). */
  function subsetChance(k: number, t: number): number {
    const [a, b, c] = [t & 1 ? shows[0] : -1, t & 2 ? shows[1] : -1, t & 4 ? shows[2] : -1];
    const named = (t & 1) + ((t >> 1) & 1) + (t >> 2);
    if (named === 0) return single[k]!.none;
    return named === 1 ? single[k]!.one[a + b + c + 2]! : outcomeChance(stages, wanted[k]!, a, b, c);
  }
}

function afterLeaving(belief: Belief, step: LeaveStep): Belief {
  const { points } = belief.grid;
  const offset = Int32Array.from(belief.grid.offset);
  const moves = leavings(belief, step);
  let total = belief.grid.values.length;
  for (const { to, set } of moves)
    if (offset[to]! < 0) {
      offset[to] = total;
      total += points[set]!;
    }
  const former = belief.grid.values;
  const values = spare.taken(total, Math.ceil(ROOM * total));
  values.set(former);
  values.fill(0, former.length);
  const factor = Float64Array.from(belief.factor);
  const mass = Float64Array.from(belief.mass);
  for (const { from, to, set, eta } of moves) {
    const [a, b, x, y] = [offset[from]!, offset[to]!, factor[from]! * eta, factor[to]!];
    for (let k = 0; k < points[set]!; k++) values[b + k] = values[b + k]! * y + values[a + k]! * x;
    factor[to] = 1;
    factor[from] = factor[from]! * (1 - eta);
    mass[to] = mass[to]! + eta * mass[from]!;
    mass[from] = mass[from]! * (1 - eta);
  }
  for (const { from, eta } of moves) if (eta === 1) offset[from] = -1;
  return { ...belief, grid: { values, offset, points }, factor, mass };
}

/** What goes where when each member leaves with its own chance, one member after the other. */
function leavings({ model, masks, grid }: Belief, step: LeaveStep) {
  const { sets } = model;
  const moves: { from: number; to: number; set: number; eta: number }[] = [];
  for (let set = 1; set < sets.count; set++) {
    const held = Array.from(
      { length: 1 << sets.size[set]! },
      (_, mask) => grid.offset[set * masks + mask]! >= 0,
    );
    for (let m = 0; m < sets.size[set]!; m++) {
      const eta = step.efficacy[sets.members[set * MAX_SIZE + m]!]!;
      if (eta === 0) continue;
      for (let mask = 0; mask < held.length; mask++) {
        if (!(mask & (1 << m)) || !held[mask]) continue;
        held[mask ^ (1 << m)] = true;
        moves.push({ from: set * masks + mask, to: set * masks + (mask ^ (1 << m)), set, eta });
      }
    }
  }
  return moves;
}

function afterLook(belief: Belief, step: LookStep): Belief {
  const { model, masks } = belief;
  const { sets } = model;
  const factor = Float64Array.from(belief.factor);
  const mass = Float64Array.from(belief.mass);
  const known = new Map<string, number>();
  for (let f = 0; f < sets.count; f++)
    for (let mask = 0; mask < 1 << sets.size[f]!; mask++) {
      const at = f * masks + mask;
      if (belief.grid.offset[at]! < 0) continue;
      const active = activeMembers(model, f, mask).filter((i) => step.tied[i]);
      const key = active.join();
      const log = known.get(key) ?? step.logLikelihood(active);
      known.set(key, log);
      factor[at] = factor[at]! * Math.exp(log);
      mass[at] = mass[at]! * Math.exp(log);
    }
  const unlisted = { ...belief.unlisted, logLooks: belief.unlisted.logLooks + step.logUnlisted };
  return rescaled({
    ...belief,
    factor,
    mass,
    unlisted,
    unlistedMass: belief.unlistedMass * Math.exp(step.logUnlisted),
  });
}

/** Members of set f that mask `mask` selects. */
export function activeMembers({ sets }: Model, f: number, mask: number): number[] {
  const active: number[] = [];
  for (let m = 0; m < sets.size[f]!; m++) if (mask & (1 << m)) active.push(sets.members[f * MAX_SIZE + m]!);
  return active;
}
