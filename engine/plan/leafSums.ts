/**
 * Chances of leaves (whatever is told apart in what will be seen), summed over active sets, for any number of plans on one
 * belief; and the information in them, I(Z; Y) = H(Y) − H(Y | Z).
 *
 * P(Y | G) depends on the plan only through its members' exposures and the chances that the moves clear them, which most
 * plans share: each is computed once and kept. What a plan shares with the first one is summed once; only the sets that
 * hold a cause it treats differently are visited again.
 */
import type { Belief } from "../belief/belief.js";
import { unlistedPredictive } from "../belief/unlisted.js";
import { atomsByCause, atomsOf, type Atom, type Target } from "./atoms.js";
import { CLASSES, ClassIds, LeafPool } from "./leafPool.js";

/** Starts after some moves. */
export interface StartsPlan {
  /** exposure of each cause in the setup of the starts; length C */
  exposure: Float64Array;
  /** chance that the moves and the repair clear each cause first; length C */
  efficacy: Float64Array;
  /** what `unlisted` takes for the setup */
  key: string;
}

/** Classes of each cause in a plan: by exposure; by exposure and efficacy. */
export interface PlanClasses {
  exposure: Int32Array;
  both: Int32Array;
}

/** The sums of the first plan, and the slots of its atoms. */
interface Base extends Sums {
  classOf: Int32Array;
  slots: Int32Array;
}

interface Sums {
  /** P(leaf and a listed cause or none) of every leaf */
  sum: Float64Array;
  /** Σ over targets of each question's spread */
  spread: Float64Array;
}

/** Chances of the counts [of each outcome] or [of stops, of clean starts], in order. */
export type UnlistedChance = (counts: ArrayLike<number>) => number;

export abstract class LeafSums {
  protected readonly leaves: LeafPool;
  /** the exposure each cause has in the first plan, or the nominal one: the one it mostly has */
  protected readonly reference: Float64Array;
  private readonly classes: ClassIds[];
  private readonly planClasses = new WeakMap<StartsPlan, PlanClasses>();
  /** by key, the setups never started in yet as one */
  private readonly unlisted = new Map<string, Float64Array>();
  private base: Base | null = null;

  /**
   * @param size       leaves
   * @param questions  sets of leaves of which each sums to 1: information is told of each
   */
  constructor(
    readonly belief: Belief,
    readonly target: Target,
    protected readonly size: number,
    private readonly questions: number,
    readonly atoms: readonly Atom[] = atomsOf(belief, target),
  ) {
    const { causes } = belief.model;
    this.leaves = new LeafPool(size, questions, atoms.length);
    this.classes = causes.map(() => new ClassIds());
    this.reference = new Float64Array(causes.length).fill(NOMINAL);
  }

  /** Adds P(atom k, leaf) of every leaf to the pool's values from `at` on. */
  protected abstract fill(at: number, k: number, plan: StartsPlan, classes: PlanClasses): void;

  /** P(leaf | unlisted) of every leaf, written to `out`. */
  protected abstract fillUnlisted(out: Float64Array, chance: UnlistedChance): void;

  /** Σ_leaf multiplicity · p · ln p − mass · ln mass of each question, written to `out` from `to` on. */
  protected abstract spreadInto(
    out: Float64Array,
    to: number,
    values: Float64Array,
    at: number,
    mass: number,
  ): void;

  /** Information of each question in nats, and P(leaf) of every leaf. */
  protected told(plan: StartsPlan): { nats: Float64Array; chance: Float64Array } {
    const classes = this.classesOf(plan);
    this.base ??= this.baseOf(plan, classes);
    const { sum, spread } =
      this.target === "active" ? this.shifted(plan, classes) : this.sumByTarget(plan, classes);
    const unlisted = this.unlistedLeaves(plan);
    const chance = sum.slice();
    for (let leaf = 0; leaf < chance.length; leaf++) chance[leaf] = chance[leaf]! + unlisted[leaf]!;
    const [own, all] = [new Float64Array(this.questions), new Float64Array(this.questions)];
    this.spreadInto(own, 0, unlisted, 0, this.belief.unlistedMass);
    this.spreadInto(all, 0, chance, 0, 1);
    // a difference of entropies: rounding can leave −1e-16 where nothing is told
    return { nats: spread.map((s, q) => Math.max(0, s + own[q]! - all[q]!)), chance };
  }

  /** P(unlisted, leaf) of every leaf. */
  unlistedLeaves(plan: StartsPlan): Float64Array {
    const { unlisted, unlistedMass } = this.belief;
    const key = unlisted.apart.has(plan.key) ? plan.key : "";
    let leaves = this.unlisted.get(key);
    if (!leaves) {
      leaves = new Float64Array(this.size);
      if (unlistedMass > 0) this.fillUnlisted(leaves, unlistedPredictive(unlisted, key));
      for (let leaf = 0; leaf < this.size; leaf++) leaves[leaf] = leaves[leaf]! * unlistedMass;
      this.unlisted.set(key, leaves);
    }
    return leaves;
  }

  /** Calls back for every atom with where P(atom, leaf) begins in `values`, leaf after leaf. */
  eachAtom(plan: StartsPlan, back: (k: number, values: Float64Array, at: number) => void): void {
    const classes = this.classesOf(plan);
    for (let k = 0; k < this.atoms.length; k++) {
      const slot = this.weighed(k, plan, classes);
      back(k, this.leaves.values, slot * this.size);
    }
  }

  /** Causes are alike in two plans where exposure and efficacy are. */
  protected classesOf(plan: StartsPlan): PlanClasses {
    let found = this.planClasses.get(plan);
    if (!found) {
      const causes = plan.exposure.length;
      found = { exposure: new Int32Array(causes), both: new Int32Array(causes) };
      for (let i = 0; i < causes; i++) {
        const [e, eta] = [plan.exposure[i]!, plan.efficacy[i]!];
        found.exposure[i] = this.classes[i]!.of(e, 0);
        found.both[i] = this.classes[i]!.of(e, eta);
        if (this.base === null) this.reference[i] = e > 0 ? e : NOMINAL;
      }
      this.planClasses.set(plan, found);
    }
    return found;
  }

  private baseOf(plan: StartsPlan, classes: PlanClasses): Base {
    const sums = this.sumAll(plan, classes);
    const slots = Int32Array.from(this.atoms, (_, k) => this.leaves.slotOf(k, this.keyOf(k, classes.both)));
    return { classOf: classes.both, slots, ...sums };
  }

  private sumAll(plan: StartsPlan, classes: PlanClasses): Sums {
    const sum = new Float64Array(this.size);
    const spread = new Float64Array(this.questions);
    for (let k = 0; k < this.atoms.length; k++)
      this.leaves.addTo(sum, spread, this.spreadSlot(k, plan, classes));
    return { sum, spread };
  }

  /** The base, with the atoms of causes in another class exchanged. */
  private shifted(plan: StartsPlan, classes: PlanClasses): Sums {
    const base = this.base!;
    const byCause = atomsByCause(this.atoms);
    const touched: number[] = [];
    const seen = new Uint8Array(this.atoms.length);
    for (let i = 0; i < classes.both.length; i++) {
      if (classes.both[i] === base.classOf[i]) continue;
      for (const k of byCause[i] ?? []) if (seen[k] === 0) seen[k] = touched.push(k) && 1;
    }
    if (touched.length * 2 > this.atoms.length) return this.sumAll(plan, classes);
    const sum = base.sum.slice();
    const spread = base.spread.slice();
    for (const k of touched) {
      const now = this.spreadSlot(k, plan, classes);
      this.leaves.exchange(sum, spread, base.slots[k]!, now);
    }
    return { sum, spread };
  }

  /** Where several atoms share a target, their leaves are added before the spread is taken. */
  private sumByTarget(plan: StartsPlan, classes: PlanClasses): Sums {
    const byTarget = new Map<number, { leaves: Float64Array; mass: number }>();
    const sum = new Float64Array(this.size);
    const spread = new Float64Array(this.questions);
    const unused = new Float64Array(this.questions);
    this.atoms.forEach(({ group, target }, k) => {
      const slot = this.weighed(k, plan, classes);
      const one = byTarget.get(target) ?? { leaves: new Float64Array(this.size), mass: 0 };
      this.leaves.addTo(one.leaves, unused, slot);
      this.leaves.addTo(sum, unused, slot);
      one.mass += group.mass;
      byTarget.set(target, one);
    });
    const own = new Float64Array(this.questions);
    for (const { leaves, mass } of byTarget.values()) {
      this.spreadInto(own, 0, leaves, 0, mass);
      own.forEach((x, q) => (spread[q] = spread[q]! + x));
    }
    return { sum, spread };
  }

  protected keyOf(k: number, classOf: Int32Array): number {
    const { members } = this.atoms[k]!.group;
    let key = 0;
    for (let m = 0; m < members.length; m++) key = key * CLASSES + classOf[members[m]!]! + 1;
    return key;
  }

  /** The slot of an atom's leaves under a plan, made when first asked for. */
  private weighed(k: number, plan: StartsPlan, classes: PlanClasses): number {
    const key = this.keyOf(k, classes.both);
    let slot = this.leaves.slotOf(k, key);
    if (slot < 0) {
      slot = this.leaves.open(k, key);
      this.fill(slot * this.size, k, plan, classes);
    }
    return slot;
  }

  /** The same with its spread, which answers do without. */
  private spreadSlot(k: number, plan: StartsPlan, classes: PlanClasses): number {
    const slot = this.weighed(k, plan, classes);
    const { values, spread } = this.leaves;
    const at = slot * this.questions;
    if (Number.isNaN(spread[at]))
      this.spreadInto(spread, at, values, slot * this.size, this.atoms[k]!.group.mass);
    return slot;
  }
}

const NOMINAL = 1;
