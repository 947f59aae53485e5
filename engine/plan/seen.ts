/**
 * What a compact rule sees of a function that it is too small to hold.
 *
 * A belief over two causes lies on few points a rate, enough for the record and some starts more, not for 500. What the
 * record says of a rate is smooth all the same: what lies between the points is known from their values there, so the
 * integral of likelihood × f is done once on the fine points,
 *
 *   Σ_x w_x L(x) f̂(x),   w_x f̂(x) = Σ_z μ_z ℓ_x(z) f(z),   ℓ_x what `between` makes of 1 at x and 0 at all others
 *
 * (product integration, e.g. Davis & Rabinowitz 1984, §2.5.6). Then the grid is summed with f̂ as if it held f. A rule of
 * many points, crowded where its measure ends, holds f better by itself: both ways are tried on functions of the kind
 * that a record makes, and the nearer one is taken.
 */
import type { Belief } from "../belief/belief.js";
import { isClean, type Plan } from "../belief/rates.js";
import type { Step } from "../belief/steps.js";
import { bridgeOf } from "../numeric/between.js";
import { forwards } from "../numeric/compact.js";
import { softPoints, type Rule } from "../numeric/rule.js";

/** Along one axis of a grid: the points on which functions are written down, and how they are carried to the grid's own. */
export interface Sight {
  /** ln(1 − r) of the points at which a function is asked for; length Z */
  logRest: Float64Array;
  /** points × Z, row-major, or null where the grid's points are those themselves */
  carry: Float64Array | null;
  points: number;
}

/** The grid's own points. */
export const plainSight = (rule: Rule): Sight => ({
  logRest: rule.logRest,
  carry: null,
  points: rule.rate.length,
});

const known = new WeakMap<Rule, Map<number, Sight>>();

/** How the compact rule of cause i sees; found once for each rule and what has been clean since it was made. */
export function compactSight({ plan, history }: Pick<Belief, "plan" | "history">, i: number): Sight {
  const rule = plan.compact[i]!;
  const clean = Math.max(0, cleanExposure(history, i) - plan.absorbed[i]!);
  const own = known.get(rule) ?? new Map<number, Sight>();
  known.set(rule, own);
  let sight = own.get(clean);
  if (!sight) own.set(clean, (sight = sightOf(plan, i, clean)));
  return sight;
}

/** Exposure to clean starts before anything could have cleared the cause: a factor that all its likelihoods have. */
function cleanExposure(history: readonly Step[], i: number): number {
  let exposure = 0;
  for (const step of history) {
    if (step.kind === "leave" && step.efficacy[i]! > 0) break;
    if (step.kind !== "trials") continue;
    for (const row of step.rows) if (isClean(row.wanted)) exposure += row.n * step.trust * step.exposure[i]!;
  }
  return exposure;
}

/** @param clean  exposure whose (1 − r)^clean the likelihoods have beyond what the weights have absorbed */
function sightOf(plan: Plan, i: number, clean: number): Sight {
  const rule = absorbed(plan.compact[i]!, clean);
  const plain = plainSight(rule);
  if (plan.fine[i]!.rate.length === 1) return plain;
  const measure = absorbed(thinned(plan.fine[i]!), plan.absorbed[i]! + clean);
  const carried = carriedSight(measure, rule, plan.found[i]!.variable);
  return error(carried, measure, rule) < error(plain, measure, rule) ? carried : plain;
}

/**
 * Every second point with twice its weight; the hard point is kept. The fine rule is laid for the tail areas of r, four
 * times as dense as the record needs; twice is enough for rows of clean starts, which never sharpen a peak that k stops
 * have made beyond the 1/√k it has at most.
 */
function thinned(rule: Rule): Rule {
  const soft = softPoints(rule);
  const hard = rule.rest.length - soft;
  const keep = (values: Float64Array) => values.filter((_, x) => x === soft || x % 2 === 0);
  const weight = keep(rule.weight);
  const left = weight.length - hard;
  const scale = sum(rule.weight, soft) / sum(weight, left);
  for (let x = 0; x < left; x++) weight[x] = weight[x]! * scale;
  return { rate: keep(rule.rate), rest: keep(rule.rest), logRest: keep(rule.logRest), weight };
}

function sum(values: Float64Array, count: number): number {
  let total = 0;
  for (let x = 0; x < count; x++) total += values[x]!;
  return total;
}

const absorbed = (rule: Rule, exposure: number): Rule =>
  exposure === 0
    ? rule
    : { ...rule, weight: rule.weight.map((w, x) => w * Math.exp(exposure * rule.logRest[x]!)) };

function carriedSight(measure: Rule, rule: Rule, variable: Parameters<typeof forwards>[0]): Sight {
  const [soft, softFine, size] = [softPoints(rule), softPoints(measure), measure.rate.length];
  const at = (of: Rule, count: number) =>
    Float64Array.from({ length: count }, (_, k) => forwards(variable, of.rate[k]!, of.rest[k]!));
  const [own, all] = [at(rule, soft), at(measure, softFine)];
  const carry = new Float64Array(rule.rest.length * size);
  const { kept, from, width, share } = bridgeOf(own, all);
  share.forEach((taken, k) => {
    const z = Math.floor(k / width);
    const x = kept[from[z]! + (k % width)]!;
    if (rule.weight[x]! > 0) carry[x * size + z] = (measure.weight[z]! * taken) / rule.weight[x]!;
  });
  if (rule.rest.length > soft) carry[soft * size + softFine] = 1;
  return { logRest: measure.logRest, carry, points: rule.rest.length };
}

/** What may be asked: rows of so much exposure; what a record may have said: stops, tempered or not, over a leak. */
const ASKED = [1, 30, 120, 500];
const SAID: ((show: number) => number)[] = [
  () => 1,
  (q) => q,
  (q) => Math.sqrt(0.002 + q),
  (q) => q * q * (0.05 + q),
];

/** Largest error over what is asked of what was said, relative to what was said. */
function error(sight: Sight, measure: Rule, rule: Rule): number {
  const dense = SAID.map((said) => measure.logRest.map((l, z) => measure.weight[z]! * said(-Math.expm1(l))));
  const own = SAID.map((said) => rule.logRest.map((l, x) => rule.weight[x]! * said(-Math.expm1(l))));
  let worst = 0;
  for (const exposure of ASKED) {
    const f = measure.logRest.map((l) => Math.exp(exposure * l));
    const g = seen(sight, sight.carry ? f : rule.logRest.map((l) => Math.exp(exposure * l)));
    dense.forEach((all, k) => {
      const off = Math.abs(dot(own[k]!, g) - dot(all, f)) / sum(all, all.length);
      worst = Math.max(worst, off);
    });
  }
  return worst;
}

function dot(a: Float64Array, b: Float64Array): number {
  let total = 0;
  for (let x = 0; x < a.length; x++) total += a[x]! * b[x]!;
  return total;
}

/** f̂ at the points of the grid. */
export function seen({ carry, points }: Sight, f: Float64Array): Float64Array {
  if (!carry) return f;
  const size = f.length;
  const out = new Float64Array(points);
  for (let x = 0, at = 0; x < points; x++) {
    let total = 0;
    for (let z = 0; z < size; z++, at++) total += carry[at]! * f[z]!;
    out[x] = total;
  }
  return out;
}
