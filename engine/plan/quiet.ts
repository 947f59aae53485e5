/**
 * Chances that every cause at work stays quiet: in n clean starts made here, and in all starts at home as well.
 *
 *   here  P(listed, n quiet) = Σ_{F,G} E[ w Π_{i∈G} ((1 − η_i)(1 − r_i)^(n e_i) + η_i) ]
 *   both  the same and quiet at home, Σ_{F,G} E[ w Π_{i∈G} ((1 − η_i)(1 − r_i)^(n e_i + h_i) + η_i) ]
 *
 * e_i the exposure of one start here, h_i that of all starts at home together, η_i the chance that the move to where the
 * starts are made clears cause i for good. Causes that have a rule and these three in common have their grids added
 * before anything is multiplied, so that the curve costs little more than one point of it.
 */
import type { Belief } from "../belief/belief.js";
import { MAX_SIZE } from "../belief/sets.js";
import { compactSight, plainSight, seen, type Sight } from "./seen.js";

/** More axes than any belief has, so that three of them have a number of their own. */
const MOST_AXES = 2 ** 17;

/** Starts that are made here before the machine goes home. */
export interface Here {
  /** of each cause in one start; length C */
  exposure: Float64Array;
  /** η of each cause on the way there; length C */
  efficacy: Float64Array;
}

export interface Quiet {
  here: number;
  both: number;
}

/** Grids of hypotheses whose axes are alike, added. */
interface Sum {
  axes: readonly Axis[];
  values: Float64Array;
}

/** Both factors at the points of an axis. */
interface Factors {
  here: Float64Array;
  both: Float64Array;
}

/** Axes that are alike, with their factors by n: the same ones come up wherever the starts are made. */
export class Axes {
  private readonly known = new Map<string, Axis>();
  private readonly names = new Map<Sight, number>();

  /** @param home  exposure of each cause to all starts at home together; length C */
  constructor(
    private readonly belief: Belief,
    private readonly home: Float64Array,
  ) {}

  /** The axis of cause i in sets of one or of several; null where it cannot show. */
  of(i: number, rules: "fine" | "compact", there: Here): Axis | null {
    const { plan, model } = this.belief;
    const [exposure, home, efficacy] = [there.exposure[i]!, this.home[i]!, there.efficacy[i]!];
    const rule = plan[rules][i];
    if ((exposure === 0 && home === 0) || !rule) return null;
    const sight = rules === "fine" ? plainSight(rule) : compactSight(this.belief, i);
    // a fine rule follows from the prior and the step, which its length tells with a point
    const own =
      rules === "fine"
        ? `${JSON.stringify(model.causes[i]!.rate)} ${rule.rate.length} ${rule.rate[rule.rate.length >> 1]}`
        : this.nameOf(sight, rule);
    const name = `${own} ${exposure} ${home} ${efficacy}`;
    let axis = this.known.get(name);
    if (!axis) this.known.set(name, (axis = new Axis(this.known.size, sight, exposure, home, efficacy)));
    return axis;
  }

  private nameOf(sight: Sight, { rate }: { rate: Float64Array }): string {
    // the rule of a fixed rate is one for each cause, though they are the same
    if (rate.length === 1) return `fixed ${rate[0]} ${sight.logRest[0]}`;
    if (!this.names.has(sight)) this.names.set(sight, this.names.size);
    return `${this.names.get(sight)}`;
  }
}

class Axis {
  private readonly made: (Factors | undefined)[] = [];

  constructor(
    readonly index: number,
    private readonly sight: Sight,
    private readonly exposure: number,
    private readonly home: number,
    private readonly efficacy: number,
  ) {}

  at(n: number): Factors {
    return (this.made[n] ??= this.factors(n));
  }

  private factors(n: number): Factors {
    const { sight, exposure, home, efficacy } = this;
    const along = (total: number) => seen(sight, quietAt(sight.logRest, total, efficacy));
    const here = along(n * exposure);
    return { here, both: home === 0 ? here : along(n * exposure + home) };
  }
}

/** (1 − η)(1 − r)^exposure + η; an exposure of 0 leaves the hard point, too, at 1. */
function quietAt(logRest: Float64Array, exposure: number, efficacy: number): Float64Array {
  const row = new Float64Array(logRest.length);
  if (exposure === 0) return row.fill(1);
  for (let x = 0; x < row.length; x++) row[x] = (1 - efficacy) * Math.exp(exposure * logRest[x]!) + efficacy;
  return row;
}

export class QuietStarts {
  private readonly sums = new Map<number, Sum>();
  /** mass of the hypotheses of which nothing can show */
  private idle = 0;

  constructor(
    private readonly belief: Belief,
    axes: Axes,
    there: Here,
  ) {
    const { mass, model, masks } = belief;
    const all = (rules: "fine" | "compact") => model.causes.map((_, i) => axes.of(i, rules, there));
    const [fine, compact] = [all("fine"), all("compact")];
    for (let at = 0; at < mass.length; at++)
      if (mass[at]! > 0) {
        const f = Math.floor(at / masks);
        this.add(at, f, model.sets.size[f] === 1 ? fine : compact);
      }
  }

  of(n: number): Quiet {
    const quiet = { here: this.idle, both: this.idle };
    for (const { axes, values } of this.sums.values()) {
      const factors = axes.map((axis) => axis.at(n));
      quiet.here += contract(values, factors.map((x) => x.here)); // prettier-ignore
      quiet.both += contract(values, factors.map((x) => x.both)); // prettier-ignore
    }
    return quiet;
  }

  private add(at: number, f: number, byCause: readonly (Axis | null)[]): void {
    const { grid, masks, model, factor, mass } = this.belief;
    const { size, members } = model.sets;
    const own: (Axis | null)[] = [];
    let key = 0;
    for (let m = 0; m < size[f]!; m++) {
      const axis = ((at % masks) & (1 << m)) !== 0 ? byCause[members[f * MAX_SIZE + m]!]! : null;
      own.push(axis);
      if (axis) key = key * MOST_AXES + axis.index + 1;
    }
    if (key === 0) {
      this.idle += mass[at]!;
      return;
    }
    const whole = grid.values.subarray(grid.offset[at], grid.offset[at]! + grid.points[f]!);
    const part = own.includes(null) ? collapsed(whole, this.sizesOf(f), own) : whole;
    let sum = this.sums.get(key);
    if (!sum) {
      sum = { axes: own.filter((axis) => axis !== null), values: new Float64Array(part.length) };
      this.sums.set(key, sum);
    }
    addScaled(sum.values, part, factor[at]!);
  }

  private sizesOf(f: number): number[] {
    const { model, plan } = this.belief;
    const { size, lists } = model.sets;
    return lists[f]!.map((i) => (size[f] === 1 ? plan.fine : plan.compact)[i]!.rate.length);
  }
}

function addScaled(into: Float64Array, values: Float64Array, factor: number): void {
  for (let k = 0; k < into.length; k++) into[k] = into[k]! + values[k]! * factor;
}

/** Summed over the axes on which nothing happens. */
function collapsed(
  values: Float64Array,
  sizes: readonly number[],
  axes: readonly (Axis | null)[],
): Float64Array {
  let left = values;
  let inner = 1;
  for (let m = sizes.length - 1; m >= 0; m--) {
    const n = sizes[m]!;
    if (axes[m]) {
      inner *= n;
      continue;
    }
    const outer = left.length / (n * inner);
    const next = new Float64Array(outer * inner);
    for (let o = 0, at = 0; o < outer; o++)
      for (let x = 0; x < n; x++)
        for (let y = 0; y < inner; y++, at++) next[o * inner + y] = next[o * inner + y]! + left[at]!;
    left = next;
  }
  return left;
}

/** Σ values · Π axes. */
function contract(values: Float64Array, axes: readonly Float64Array[]): number {
  if (axes.length === 1) return dot(values, 0, axes[0]!);
  if (axes.length === 2) return dotPair(values, 0, axes[0]!, axes[1]!);
  const [first, second, third] = axes as [Float64Array, Float64Array, Float64Array];
  const inner = second.length * third.length;
  let total = 0;
  for (let x = 0; x < first.length; x++) total += first[x]! * dotPair(values, x * inner, second, third);
  return total;
}

function dotPair(values: Float64Array, from: number, first: Float64Array, second: Float64Array): number {
  let total = 0;
  for (let x = 0; x < first.length; x++) total += first[x]! * dot(values, from + x * second.length, second);
  return total;
}

function dot(values: Float64Array, from: number, axis: Float64Array): number {
  let total = 0;
  for (let x = 0; x < axis.length; x++) total += values[from + x]! * axis[x]!;
  return total;
}
