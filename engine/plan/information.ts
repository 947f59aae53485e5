/**
 * Expected information of starts: I(Z; Y) = H(Y) − H(Y | Z), in bits.
 *
 * Z is the active set G before the candidate's own moves (each G one value, the empty one included), or the root cause F;
 * `unlisted` is another value. Y are the counts of outcomes over n starts after the moves, rates integrated out.
 *
 * P(Y | G) depends on the candidate only through its members' exposures and the chances that the moves clear them, which
 * most candidates share: each is computed once and kept. What a candidate shares with the commonest exposures is summed
 * once; only the sets that hold a cause it treats differently are visited again.
 * Source: Lindley 1956 (Annals of Mathematical Statistics 27) for the measure; project model, section 9.
 */
import { activeMembers, type Belief } from "../belief/belief.js";
import { countSpace, leafChances, outcomeTable, unlistedLeaves, type CountSpace } from "../belief/counts.js";
import { groupsOf, MomentStore, withoutMember, type Group, type Moments } from "../belief/moments.js";

export type Target = "active" | "root";

/** Starts after some moves. */
export interface StartsPlan {
  /** exposure of each cause in the setup of the starts; length C */
  exposure: Float64Array;
  /** chance that the moves and the repair clear each cause first; length C */
  efficacy: Float64Array;
  /** what `unlisted` takes for the setup */
  key: string;
}

export interface Information {
  bits: number;
  /** P(outcomes in order) by leaf of the count space */
  chance: Float64Array;
}

/** P(z, outcomes in order) of every leaf, and Σ_leaf multiplicity · p · ln(p / P(z)). */
interface Weighed {
  leaves: Float64Array;
  spread: number;
}

/** An active set under one value of the target. */
export interface Atom {
  group: Group;
  target: number;
}

/** Information of batches of n starts, for any number of candidates on one belief. */
export class StartsInformation {
  readonly space: CountSpace;
  readonly atoms: Atom[];
  private readonly store: MomentStore;
  private readonly tables = new Map<string, Float64Array>();
  private readonly kept: Map<number, Weighed>[];
  private readonly byCause: number[][];
  private readonly classes = new Map<string, number>();
  private readonly planClasses = new WeakMap<StartsPlan, Int32Array>();
  private base: { classOf: Int32Array; leaves: Float64Array; spread: number } | null = null;

  constructor(
    readonly belief: Belief,
    readonly n: number,
    readonly target: Target,
  ) {
    this.space = countSpace(n, belief.model.stages.outcomes);
    this.atoms = atomsOf(belief, target);
    this.store = new MomentStore(belief, n);
    this.kept = this.atoms.map(() => new Map());
    this.byCause = belief.model.causes.map(() => []);
    this.atoms.forEach(({ group }, k) => group.members.forEach((i) => this.byCause[i]!.push(k)));
  }

  of(plan: StartsPlan): Information {
    const classOf = this.classesOf(plan);
    this.base ??= this.sumAll(plan, classOf);
    const { leaves, spread } = this.target === "active" ? this.shifted(plan, classOf) : this.sumByTarget(plan, classOf);
    const unlisted = unlistedLeaves(this.belief.unlisted, this.belief.unlistedMass, plan.key, this.space);
    const chance = leaves;
    let nats = spread + spreadOf(unlisted, this.belief.unlistedMass, this.space);
    for (let leaf = 0; leaf < this.space.size; leaf++) {
      const p = chance[leaf]! + unlisted[leaf]!;
      chance[leaf] = p;
      if (p > 0) nats -= this.space.multiplicity[leaf]! * p * Math.log(p);
    }
    // a difference of entropies: rounding can leave −1e-16 where nothing is told
    return { bits: Math.max(0, nats / Math.LN2), chance };
  }

  /** P(atom, outcomes in order) of every leaf. */
  leavesOf(k: number, plan: StartsPlan): Float64Array {
    return this.weighed(k, plan, this.classesOf(plan)).leaves;
  }

  /** Causes are alike in two plans where exposure and efficacy are. */
  private classesOf(plan: StartsPlan): Int32Array {
    let classOf = this.planClasses.get(plan);
    if (!classOf) {
      classOf = Int32Array.from(plan.exposure, (e, i) => this.classId(e, plan.efficacy[i]!));
      this.planClasses.set(plan, classOf);
    }
    return classOf;
  }

  private classId(exposure: number, efficacy: number): number {
    const key = efficacy === 0 ? `${exposure}` : `${exposure} ${efficacy}`;
    let id = this.classes.get(key);
    if (id === undefined) this.classes.set(key, (id = this.classes.size));
    return id;
  }

  private sumAll(plan: StartsPlan, classOf: Int32Array) {
    const leaves = new Float64Array(this.space.size);
    let spread = 0;
    for (let k = 0; k < this.atoms.length; k++) {
      const one = this.weighed(k, plan, classOf);
      for (let leaf = 0; leaf < leaves.length; leaf++) leaves[leaf] = leaves[leaf]! + one.leaves[leaf]!;
      spread += one.spread;
    }
    return { classOf, leaves, spread, plan };
  }

  /** The base, with the atoms of causes in another class exchanged. */
  private shifted(plan: StartsPlan, classOf: Int32Array) {
    const base = this.base!;
    const touched = new Set<number>();
    for (let i = 0; i < classOf.length; i++)
      if (classOf[i] !== base.classOf[i]) for (const k of this.byCause[i]!) touched.add(k);
    if (touched.size * 2 > this.atoms.length) return this.sumAll(plan, classOf);
    const leaves = Float64Array.from(base.leaves);
    let { spread } = base;
    for (const k of touched) {
      const now = this.weighed(k, plan, classOf);
      const was = this.kept[k]!.get(this.keyOf(k, base.classOf))!;
      for (let leaf = 0; leaf < leaves.length; leaf++) leaves[leaf] = leaves[leaf]! + (now.leaves[leaf]! - was.leaves[leaf]!);
      spread += now.spread - was.spread;
    }
    return { leaves, spread };
  }

  /** Where several atoms share a target, their leaves are added before the spread is taken. */
  private sumByTarget(plan: StartsPlan, classOf: Int32Array) {
    const byTarget = new Map<number, { leaves: Float64Array; mass: number }>();
    this.atoms.forEach(({ group, target }, k) => {
      const { leaves } = this.weighed(k, plan, classOf);
      const sum = byTarget.get(target) ?? { leaves: new Float64Array(this.space.size), mass: 0 };
      for (let leaf = 0; leaf < leaves.length; leaf++) sum.leaves[leaf] = sum.leaves[leaf]! + leaves[leaf]!;
      sum.mass += group.mass;
      byTarget.set(target, sum);
    });
    const leaves = new Float64Array(this.space.size);
    let spread = 0;
    for (const sum of byTarget.values()) {
      for (let leaf = 0; leaf < leaves.length; leaf++) leaves[leaf] = leaves[leaf]! + sum.leaves[leaf]!;
      spread += spreadOf(sum.leaves, sum.mass, this.space);
    }
    return { leaves, spread };
  }

  private keyOf(k: number, classOf: Int32Array): number {
    let key = 0;
    for (const i of this.atoms[k]!.group.members) key = key * 4096 + classOf[i]! + 1;
    return key;
  }

  private weighed(k: number, plan: StartsPlan, classOf: Int32Array): Weighed {
    const key = this.keyOf(k, classOf);
    let made = this.kept[k]!.get(key);
    if (!made) {
      const { group } = this.atoms[k]!;
      const leaves = this.leavesAfterMoves(group, plan);
      made = { leaves, spread: spreadOf(leaves, group.mass, this.space) };
      this.kept[k]!.set(key, made);
    }
    return made;
  }

  /** Σ over who of the members is cleared by the moves, of its chance times the chances of the outcomes then. */
  private leavesAfterMoves(group: Group, plan: StartsPlan): Float64Array {
    const branches = afterMoves(this.store.of(group, plan.exposure), group.members, plan, this.n);
    const parts = branches.map(({ weight, moments }) => ({ weight, leaves: leafChances(moments, this.table(moments.shown), this.space) }));
    if (parts.length === 1) return parts[0]!.leaves;
    const sum = new Float64Array(this.space.size);
    for (const { weight, leaves } of parts)
      for (let leaf = 0; leaf < sum.length; leaf++) sum[leaf] = sum[leaf]! + weight * leaves[leaf]!;
    return sum;
  }

  private table(shown: readonly number[]): Float64Array {
    const key = shown.join();
    let table = this.tables.get(key);
    if (!table) this.tables.set(key, (table = outcomeTable(this.belief.model.stages, shown)));
    return table;
  }
}

/** Who of the members the moves clear, with the chance of it and the moments of those that are left. */
export function afterMoves(moments: Moments, members: readonly number[], plan: StartsPlan, n: number): { weight: number; moments: Moments }[] {
  let branches = [{ weight: 1, moments }];
  for (const i of members) {
    const eta = plan.efficacy[i]!;
    if (eta === 0 || plan.exposure[i] === 0) continue;
    branches = branches.flatMap(({ weight, moments: left }) => [
      ...(eta < 1 ? [{ weight: weight * (1 - eta), moments: left }] : []),
      { weight: weight * eta, moments: withoutMember(left, i, n) },
    ]);
  }
  return branches;
}

/** Σ_leaf multiplicity · p · ln(p / mass): minus P(z) H(Y | z), up to the multinomial terms that cancel. */
function spreadOf(leaves: Float64Array, mass: number, space: CountSpace): number {
  let sum = 0;
  for (let leaf = 0; leaf < leaves.length; leaf++) {
    const p = leaves[leaf]!;
    if (p > 0) sum += space.multiplicity[leaf]! * p * Math.log(p / mass);
  }
  return sum;
}

export const atomsOf = (belief: Belief, target: Target): Atom[] =>
  target === "active" ? groupsOf(belief).map((group) => ({ group, target: group.set })) : rootAtoms(belief);

/** One atom for each hypothesis and mask: the root cause is the target, what is left of it decides the outcomes. */
function rootAtoms(belief: Belief): Atom[] {
  const { model, masks, mass } = belief;
  const atoms: Atom[] = [];
  for (let f = 0; f < model.sets.count; f++)
    for (let mask = 0; mask < 1 << model.sets.size[f]!; mask++) {
      const at = f * masks + mask;
      if (!(mass[at]! > 0)) continue;
      // `set` names the atom's moments in the store, which must not be shared between hypotheses
      atoms.push({ group: { set: -1 - at, members: activeMembers(model, f, mask), mass: mass[at]!, places: [at] }, target: f });
    }
  return atoms;
}

/** Entropy of the target now, in bits. */
export function targetEntropy(belief: Belief, target: Target): number {
  const byTarget = new Map<number, number>();
  for (const atom of atomsOf(belief, target)) byTarget.set(atom.target, (byTarget.get(atom.target) ?? 0) + atom.group.mass);
  let bits = 0;
  for (const p of [...byTarget.values(), belief.unlistedMass]) if (p > 0) bits -= p * Math.log2(p);
  return bits;
}
