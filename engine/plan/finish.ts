/**
 * The expected cost to the end by repairs alone, and the order to make them in.
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
import type { Cures, LiveSets } from "./liveSets.js";

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
  live: LiveSets;
  fixes: readonly Fix[];
  proof: Proof;
  /** money for a comeback, and for giving the machine back */
  comeback: number;
  giveBack: number;
}

/** Masses of the active sets, as far as they are in use; `unlisted` beside them. */
export interface Masses {
  /** P(exactly this set is at work), by its place among the live ones */
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
  private readonly touched: number[][];
  private readonly cures: Cures[];
  private readonly returnsNow: Float64Array;
  private readonly quiet: Float64Array;
  private readonly returns: Float64Array;

  constructor(readonly problem: FinishProblem) {
    const { live, fixes, proof } = problem;
    this.touched = fixes.map(({ clears }) => [...clears.keys()].filter((i) => clears[i]! > 0));
    this.cures = fixes.map(({ clears }) => live.curesOf(clears));
    this.quiet = live.products(proof.quiet, (product) => product);
    // quiet throughout is the product; what is not quiet afterwards, though it was in the proof, is the rest
    const quietEver = live.products(
      proof.quiet.map((q, i) => q - proof.returns[i]!),
      (product) => product,
    );
    this.returns = this.quiet.map((q, f) => Math.max(0, q - quietEver[f]!));
    this.returnsNow = live.products(
      proof.returnsNow.map((r) => 1 - r),
      (product) => 1 - product,
    );
  }

  of(masses: Masses): Finish {
    const byRepairs = this.byRepairs(masses);
    const back = this.problem.giveBack * this.total(masses);
    const release = this.released(masses);
    return {
      cost: Math.min(release, back, byRepairs.cost),
      order: byRepairs.order,
      release,
      giveBack: back,
      repair: byRepairs.cost,
    };
  }

  /** The least that `of` would name, without asking for what cannot be it. */
  least(masses: Masses): number {
    const back = this.problem.giveBack * this.total(masses);
    const least = Math.min(back, this.byRepairs(masses).cost);
    return Math.min(least, this.released(masses, least));
  }

  /**
   * What comes back has cost a comeback, and is still to be finished.
   * @param most  what costs more than this need not be known
   */
  private released({ set, unlisted }: Masses, most = Infinity): number {
    const { comeback, giveBack, proof } = this.problem;
    const back: Masses = {
      set: new Float64Array(set.length),
      unlisted: unlisted * proof.unlisted.returnsNow,
    };
    for (let f = 0; f < set.length; f++) back.set[f] = set[f]! * this.returnsNow[f]!;
    const mass = this.total(back);
    if (comeback * mass >= most) return Infinity;
    return comeback * mass + Math.min(giveBack * mass, this.byRepairs(back).cost);
  }

  private byRepairs(masses: Masses): { cost: number; order: number[] } {
    const { fixes, giveBack } = this.problem;
    const left = { set: masses.set.slice(), unlisted: masses.unlisted };
    const open = new Uint8Array(fixes.length).fill(1);
    const order: number[] = [];
    let best = { cost: Infinity, length: 0 };
    let spent = 0;
    // what is spent never falls: beyond the best, and beyond giving it back at once, nothing can be gained
    const most = giveBack * this.total(left);
    while (spent < Math.min(best.cost, most)) {
      const here = this.total(left);
      const next = this.mostForItsCost(left.set, open);
      if (next < 0 || this.cured(left.set, next) < LEAST_CURE * here) break;
      open[next] = 0;
      order.push(next);
      spent += here * fixes[next]!.cost + this.makeAndProve(left, next);
      const cost = spent + giveBack * this.total(left);
      if (cost < best.cost) best = { cost, length: order.length };
    }
    return { cost: best.cost, order: order.slice(0, best.length) };
  }

  /**
   * What passes the proof is released; of that, what comes back goes on with the rest.
   * @returns money for the comebacks
   */
  private makeAndProve(left: Masses, a: number): number {
    const { comeback, proof } = this.problem;
    const { set } = left;
    this.make(set, a);
    set[0] = 0;
    let returning = left.unlisted * proof.unlisted.returns;
    for (let f = 1; f < set.length; f++) {
      const back = set[f]! * this.returns[f]!;
      set[f] = set[f]! * (1 - this.quiet[f]!) + back;
      returning += back;
    }
    left.unlisted *= 1 - proof.unlisted.quiet + proof.unlisted.returns;
    return comeback * returning;
  }

  /** @returns −1 where none that is open cures anything */
  private mostForItsCost(set: Float64Array, open: Uint8Array): number {
    const { fixes } = this.problem;
    let best = -1;
    let most = 0;
    for (let a = 0; a < open.length; a++) {
      if (open[a] === 0) continue;
      const ratio = this.cured(set, a) / fixes[a]!.cost;
      if (ratio > most) {
        best = a;
        most = ratio;
      }
    }
    return best;
  }

  /** Mass of which a fix leaves nothing at work. */
  private cured(set: Float64Array, a: number): number {
    const { at, chance } = this.cures[a]!;
    let sum = 0;
    for (let k = 0; k < at.length; k++) sum += chance[k]! * set[at[k]!]!;
    return sum;
  }

  private total({ set, unlisted }: Masses): number {
    let sum = unlisted;
    for (let f = 0; f < set.length; f++) sum += set[f]!;
    return sum;
  }

  /** Masses after a fix: each touched cause leaves with its own chance. */
  private make(set: Float64Array, a: number): void {
    const { live, fixes } = this.problem;
    const { clears } = fixes[a]!;
    for (const i of this.touched[a]!) {
      const { from, to } = live.holding[i]!;
      for (let k = 0; k < from.length; k++) {
        const gone = clears[i]! * set[from[k]!]!;
        set[to[k]!] = set[to[k]!]! + gone;
        set[from[k]!] = set[from[k]!]! - gone;
      }
    }
  }
}
