/**
 * What a compact rule sees of a function that it is too small to hold.
 *
 * A belief over two causes lies on few points a rate, enough for the record and some starts more, not for 500. What the
 * record says of a rate is smooth all the same: the polynomial through its values at the points is the likelihood itself
 * (whole exposures, full trust), or as near as the rule was made to hold. So the integral of likelihood × f is that of
 * the polynomial × f, done once on the fine points:
 *
 *   Σ_x w_x L(x) f̂(x),   w_x f̂(x) = Σ_z μ_z ℓ_x(z) f(z),   ℓ_x the Lagrange polynomial of point x
 *
 * (product integration, e.g. Davis & Rabinowitz 1984, §2.5.6). Then the grid is summed with f̂ as if it held f.
 */
import type { Plan } from "../belief/rates.js";
import { forwards } from "../numeric/compact.js";
import type { Rule } from "../numeric/rule.js";

/** Along one axis of a grid: the points on which functions are written down, and how they are carried to the grid's own. */
export interface Sight {
  /** ln(1 − r) of the points at which a function is asked for; length Z */
  logRest: Float64Array;
  /** points × Z, row-major, or null where the grid's points are those themselves */
  carry: Float64Array | null;
  points: number;
}

export const plainSight = (rule: Rule): Sight => ({
  logRest: rule.logRest,
  carry: null,
  points: rule.rate.length,
});

/** How the compact rule of cause i sees. */
export function compactSight(plan: Plan, i: number): Sight {
  const [fine, rule, absorbed] = [plan.fine[i]!, plan.compact[i]!, plan.absorbed[i]!];
  if (fine.rate.length === 1) return plainSight(rule);
  const hard = rule.rest.at(-1) === 0;
  const soft = rule.rest.length - Number(hard);
  const softFine = fine.rest.length - Number(fine.rest.at(-1) === 0);
  const { variable } = plan.found[i]!;
  const at = (of: Rule, count: number) =>
    Float64Array.from({ length: count }, (_, k) => forwards(variable, of.rate[k]!, of.rest[k]!));
  const [own, all] = [at(rule, soft), at(fine, softFine)];
  const size = softFine + Number(hard);
  const carry = new Float64Array(rule.rest.length * size);
  for (let z = 0; z < softFine; z++) {
    const mass = fine.weight[z]! * (absorbed === 0 ? 1 : Math.exp(absorbed * fine.logRest[z]!));
    if (mass === 0) continue;
    for (let x = 0; x < soft; x++)
      if (rule.weight[x]! > 0) carry[x * size + z] = (mass * lagrange(own, x, all[z]!)) / rule.weight[x]!;
  }
  if (hard) carry[soft * size + softFine] = 1;
  return { logRest: fine.logRest.subarray(0, size), carry, points: rule.rest.length };
}

function lagrange(points: Float64Array, x: number, at: number): number {
  let product = 1;
  for (let k = 0; k < points.length; k++)
    if (k !== x) product *= (at - points[k]!) / (points[x]! - points[k]!);
  return product;
}

/** f̂ at the points of the grid. */
export function seen({ carry, points }: Sight, f: Float64Array): Float64Array {
  if (!carry) return f;
  const size = f.length;
  const out = new Float64Array(points);
  for (let x = 0, at = 0; x < points; x++) {
    let sum = 0;
    for (let z = 0; z < size; z++, at++) sum += carry[at]! * f[z]!;
    out[x] = sum;
  }
  return out;
}
