/**
 * The expected cost to finish by repairs alone, and the order to make them in.
 *
 * Each repair has a cost and a chance to cure, and is proved by a row of starts that ends at the first stop. The one with
 * the most chance to cure for its cost comes first; what a stop shows to be unrepaired is left to the next. Before any
 * of them, and after each that has failed, the machine can be given back; it can be released at once if it has not failed
 * since the last one. The order is optimal for one fault, sure repairs and a sure proof (Kadane & Simon 1977, Annals of
 * Statistics 5:237); for two faults, imperfect repairs and starts that may stay clean it is the same rule, applied to what
 * is left each time.
 *
 * Everything is linear in the masses but for the choices, so masses need not add up to 1: what a test's answer leaves over
 * is priced by its share.
 */
import type { Sets } from "../belief/sets.js";
import { indexOfSet, MAX_SIZE } from "../belief/sets.js";

/** A repair, or a part put in for good. */
export interface Fix {
  /** money, its own minutes and those of its proof included */
  cost: number;
  /** chance that it rids the machine of each cause; length C */
  clears: Float64Array;
}

/** How causes behave once the repair has been made; all of length C. */
export interface Proof {
  /** chance to stay quiet in the proof */
  quiet: Float64Array;
  /** chance to stay quiet in the proof and to come back at the owner's */
  returns: Float64Array;
  /** chance to come back if it is released without proof */
  returnsNow: Float64Array;
  /** the same three for `unlisted` */
  unlisted: { quiet: number; returns: number; returnsNow: number };
}

export interface FinishProblem {
  sets: Sets;
  fixes: readonly Fix[];
  proof: Proof;
  /** money for a comeback, and for giving the machine back */
  comeback: number;
  giveBack: number;
}

/** Masses of the active sets, as far as they are in use; `unlisted` beside them. */
export interface Masses {
  /** P(exactly this set is at work); length sets.count */
  set: Float64Array;
  unlisted: number;
}

export interface Finish {
  /** expected money from here to the end */
  cost: number;
  /** the fixes in the order they would be made, until it is given back; empty where none would cure anything */
  order: number[];
  /** money where the first thing done is: releasing it, giving it back, the first of the fixes (∞ where there is none) */
  release: number;
  giveBack: number;
  repair: number;
}

/** A fix that would cure less than this share of what is left is not worth naming. */
const LEAST_CURE = 1e-4;

export class Finisher {
  private readonly without: Int32Array;
  private readonly holding: number[][];
  private readonly touched: number[][];
  private readonly returnsNow: Float64Array;
  private readonly quiet: Float64Array;
  private readonly returns: Float64Array;

  constructor(readonly problem: FinishProblem) {
    const { sets, fixes, proof } = problem;
    ({ without: this.without, holding: this.holding } = shapeOf(sets));
    this.touched = fixes.map(({ clears }) => [...clears.keys()].filter((i) => clears[i]! > 0));
    this.quiet = bySet(sets, proof.quiet, (product) => product);
    // quiet throughout is the product; what is not quiet afterwards, though it was in the proof, is the rest
    const quietEver = bySet(
      sets,
      proof.quiet.map((q, i) => q - proof.returns[i]!),
      (product) => product,
    );
    this.returns = this.quiet.map((q, f) => Math.max(0, q - quietEver[f]!));
    this.returnsNow = bySet(
      sets,
      proof.returnsNow.map((r) => 1 - r),
      (product) => 1 - product,
    );
  }

  of(masses: Masses): Finish {
    const { giveBack } = this.problem;
    const byRepairs = this.byRepairs(masses);
    const release = this.released(masses);
    const back = giveBack * total(masses);
    return {
      cost: Math.min(release, back, byRepairs.cost),
      order: byRepairs.order,
      release,
      giveBack: back,
      repair: byRepairs.cost,
    };
  }

  /** What comes back has cost a comeback, and is still to be finished. */
  private released({ set, unlisted }: Masses): number {
    const { comeback, giveBack, proof } = this.problem;
    const back: Masses = {
      set: set.map((mass, f) => mass * this.returnsNow[f]!),
      unlisted: unlisted * proof.unlisted.returnsNow,
    };
    const mass = total(back);
    return comeback * mass + Math.min(giveBack * mass, this.byRepairs(back).cost);
  }

  private byRepairs(masses: Masses): { cost: number; order: number[] } {
    const { fixes, proof, comeback, giveBack } = this.problem;
    const left = { set: Float64Array.from(masses.set), unlisted: masses.unlisted };
    const open = new Set(fixes.keys());
    const order: number[] = [];
    let best = { cost: Infinity, length: 0 };
    let spent = 0;
    while (open.size > 0) {
      const here = total(left);
      const next = this.mostForItsCost(left.set, open);
      if (next < 0 || this.cured(left.set, next) < LEAST_CURE * here) break;
      open.delete(next);
      order.push(next);
      spent += here * fixes[next]!.cost;
      this.make(left.set, next);
      // what passes the proof is released; of that, what comes back has cost a comeback and goes on with the rest
      left.set[0] = 0;
      spent += comeback * (dot(left.set, this.returns) + left.unlisted * proof.unlisted.returns);
      for (let f = 1; f < left.set.length; f++)
        left.set[f] = left.set[f]! * (1 - this.quiet[f]! + this.returns[f]!);
      left.unlisted *= 1 - proof.unlisted.quiet + proof.unlisted.returns;
      const cost = spent + giveBack * total(left);
      if (cost < best.cost) best = { cost, length: order.length };
    }
    return { cost: best.cost, order: order.slice(0, best.length) };
  }

  private mostForItsCost(set: Float64Array, open: ReadonlySet<number>): number {
    let [best, most] = [-1, 0];
    for (const a of open) {
      const ratio = this.cured(set, a) / this.problem.fixes[a]!.cost;
      if (ratio > most) [best, most] = [a, ratio];
    }
    return best;
  }

  /** Mass of which a fix leaves nothing at work: sets among the causes it touches. */
  private cured(set: Float64Array, a: number): number {
    const { sets, fixes } = this.problem;
    const { clears } = fixes[a]!;
    let sum = 0;
    for (const i of this.touched[a]!) {
      sum += clears[i]! * set[sets.start[1]! + i]!;
      if (sets.maxCauses < 2) continue;
      for (const j of this.touched[a]!)
        if (j > i) sum += clears[i]! * clears[j]! * set[indexOfSet(sets, i, j)]!;
    }
    return sum;
  }

  /** Masses after a fix: each touched cause leaves with its own chance. */
  private make(set: Float64Array, a: number): void {
    const { clears } = this.problem.fixes[a]!;
    for (const i of this.touched[a]!)
      for (const place of this.holding[i]!) {
        const f = Math.floor(place / MAX_SIZE);
        const gone = clears[i]! * set[f]!;
        if (gone === 0) continue;
        const to = this.without[place]!;
        set[to] = set[to]! + gone;
        set[f] = set[f]! - gone;
      }
  }
}

const total = ({ set, unlisted }: Masses): number => {
  let sum = unlisted;
  for (let f = 0; f < set.length; f++) sum += set[f]!;
  return sum;
};

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < a.length; k++) sum += a[k]! * b[k]!;
  return sum;
}

/** The product of a chance over the members of every set. */
function bySet(sets: Sets, chance: Float64Array, of: (product: number) => number): Float64Array {
  return Float64Array.from(sets.lists, (list) => of(list.reduce((product, i) => product * chance[i]!, 1)));
}

interface Shape {
  /** index of the set that is left when the m-th member of f goes, at f · MAX_SIZE + m */
  without: Int32Array;
  /** for each cause the places f · MAX_SIZE + m at which it is a member */
  holding: number[][];
}

/** The same for every belief of a model. */
const shapes = new WeakMap<Sets, Shape>();

function shapeOf(sets: Sets): Shape {
  let shape = shapes.get(sets);
  if (!shape) {
    const without = new Int32Array(sets.count * MAX_SIZE);
    const holding: number[][] = Array.from({ length: sets.causes }, () => []);
    sets.lists.forEach((list, f) =>
      list.forEach((i, m) => {
        without[f * MAX_SIZE + m] = indexOfSet(sets, ...list.filter((j) => j !== i));
        holding[i]!.push(f * MAX_SIZE + m);
      }),
    );
    shapes.set(sets, (shape = { without, holding }));
  }
  return shape;
}
