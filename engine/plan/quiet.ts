/**
 * Chances that every cause at work stays quiet: in n clean starts made here, and in all starts of a month at home.
 *
 *   P(listed, n quiet) = Σ_{F,G} E[ w Π_{i∈G} ((1 − η_i)(1 − r_i)^{n e_i} + η_i) ],
 *   the same and quiet at home: E[ w Π_{i∈G} ((1 − η_i)(1 − r_i)^{n e_i + h_i} + η_i) ]
 *
 * e_i the exposure of one start here, h_i that of all starts at home together, η_i the chance that the move to where the
 * starts are made clears cause i for good. Causes that have a rule and these three in common have their grids added
 * before anything is multiplied, so the length of the curve costs next to nothing.
 */
import type { Belief } from "../belief/belief.js";
import { MAX_SIZE } from "../belief/sets.js";
import { compactSight, plainSight, seen, type Sight } from "./seen.js";

/** Starts that are made here before the machine goes home. */
export interface Here {
  /** of each cause in one start; length C */
  exposure: Float64Array;
  /** η of each cause on the way there; length C */
  efficacy: Float64Array;
}

export interface Quiet {
  /** P(listed, n quiet starts here) */
  here: number;
  /** P(listed, n quiet starts here and none but quiet starts at home) */
  both: number;
}

/** Grids of hypotheses whose axes behave alike, added. */
interface Sum {
  /** kinds of its axes */
  axes: number[];
  values: Float64Array;
}

/** What an axis depends on. */
interface Kind {
  sight: Sight;
  exposure: number;
  home: number;
  efficacy: number;
}

export class QuietStarts {
  private readonly kinds: Kind[] = [];
  private readonly sums = new Map<string, Sum>();
  /** mass of hypotheses with nothing at work that could show */
  private idle = 0;

  /** @param home  exposure of each cause to all starts at home together; length C */
  constructor(
    private readonly belief: Belief,
    private readonly home: Float64Array,
    private readonly here: Here,
    private readonly sights: Sights,
  ) {
    const { mass, model, masks } = belief;
    const fine = this.kindsOf(1);
    const compact = this.kindsOf(2);
    for (let at = 0; at < mass.length; at++)
      if (mass[at]! > 0) this.add(at, model.sets.size[Math.floor(at / masks)] === 1 ? fine : compact);
  }

  of(n: number): Quiet {
    const axes = this.kinds.map((kind) => alongAxis(kind, n));
    let [here, both] = [this.idle, this.idle];
    for (const { axes: own, values } of this.sums.values()) {
      here += contract(values, own.map((k) => axes[k]!.here)); // prettier-ignore
      both += contract(values, own.map((k) => axes[k]!.both)); // prettier-ignore
    }
    return { here, both };
  }

  /** The kind of each cause's axis in sets of this size, −1 where it cannot show. */
  private kindsOf(size: number): Int32Array {
    const known = new Map<string, number>();
    return Int32Array.from(this.belief.model.causes, (_, i) => {
      const [exposure, home, efficacy] = [this.here.exposure[i]!, this.home[i]!, this.here.efficacy[i]!];
      if ((exposure === 0 && home === 0) || (size > 1 && this.belief.plan.compact.length === 0)) return -1;
      const { key, sight } = this.sights.of(i, size);
      const name = `${key} ${exposure} ${home} ${efficacy}`;
      let kind = known.get(name);
      if (kind === undefined) {
        kind = this.kinds.push({ sight, exposure, home, efficacy }) - 1;
        known.set(name, kind);
      }
      return kind;
    });
  }

  private add(at: number, kinds: Int32Array): void {
    const { grid, masks, model, factor, mass, plan } = this.belief;
    const [f, mask] = [Math.floor(at / masks), at % masks];
    const size = model.sets.size[f]!;
    const own: number[] = [];
    const sizes: number[] = [];
    for (let m = 0; m < size; m++) {
      const i = model.sets.members[f * MAX_SIZE + m]!;
      own.push((mask & (1 << m)) !== 0 ? kinds[i]! : -1);
      sizes.push((size === 1 ? plan.fine : plan.compact)[i]!.rate.length);
    }
    const axes = own.filter((k) => k >= 0);
    if (axes.length === 0) {
      this.idle += mass[at]!;
      return;
    }
    const values = grid.values.subarray(grid.offset[at], grid.offset[at]! + grid.points[f]!);
    const part = axes.length === size ? values : collapsed(values, sizes, own);
    const key = axes.join();
    const sum = this.sums.get(key);
    if (sum) for (let k = 0; k < part.length; k++) sum.values[k] = sum.values[k]! + part[k]! * factor[at]!;
    else this.sums.set(key, { axes, values: part.map((w) => w * factor[at]!) });
  }
}

/** Both factors at the points of an axis. */
function alongAxis({ sight, exposure, home, efficacy }: Kind, n: number) {
  const { logRest } = sight;
  const row = (total: number) =>
    seen(
      sight,
      total === 0
        ? new Float64Array(logRest.length).fill(1)
        : logRest.map((l) => (1 - efficacy) * Math.exp(total * l) + efficacy),
    );
  const here = row(n * exposure);
  return { here, both: home === 0 ? here : row(n * exposure + home) };
}

/** Summed over the axes on which nothing happens. */
function collapsed(values: Float64Array, sizes: readonly number[], kinds: readonly number[]): Float64Array {
  let left = values;
  let inner = 1;
  for (let m = sizes.length - 1; m >= 0; m--) {
    const n = sizes[m]!;
    if (kinds[m]! >= 0) {
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
  let left = values;
  for (let m = axes.length - 1; m >= 0; m--) {
    const axis = axes[m]!;
    const n = axis.length;
    const next = new Float64Array(left.length / n);
    for (let o = 0, at = 0; o < next.length; o++) {
      let sum = 0;
      for (let x = 0; x < n; x++, at++) sum += axis[x]! * left[at]!;
      next[o] = sum;
    }
    left = next;
  }
  return left[0]!;
}

/** How the rules of a belief see, made once for rules that are the same. */
export class Sights {
  private readonly made = new Map<string, { key: string; sight: Sight }>();
  private readonly names = new Map<object, number>();

  constructor(private readonly belief: Belief) {}

  of(i: number, size: number): { key: string; sight: Sight } {
    const key = size === 1 ? this.fineName(i) : this.compactName(i);
    let made = this.made.get(key);
    if (!made) {
      const { plan } = this.belief;
      this.made.set(key, (made = { key, sight: size === 1 ? plainSight(plan.fine[i]!) : compactSight(plan, i) })); // prettier-ignore
    }
    return made;
  }

  /** Fine rules follow from the prior and the step, which two points tell. */
  private fineName(i: number): string {
    const { rate } = this.belief.plan.fine[i]!;
    return `fine ${JSON.stringify(this.belief.model.causes[i]!.rate)} ${rate.length} ${rate[0]} ${rate[rate.length >> 1]}`;
  }

  private compactName(i: number): string {
    const rule = this.belief.plan.compact[i]!;
    if (!this.names.has(rule)) this.names.set(rule, this.names.size);
    return `compact ${this.names.get(rule)} ${this.fineName(i)}`;
  }
}
