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
import { countSpace, LeafWalk, unlistedLeaves, type CountSpace } from "../belief/counts.js";
import { MAX_SIZE } from "../belief/sets.js";
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

/** An active set under one value of the target. */
export interface Atom {
  group: Group;
  target: number;
}

/** Information of batches of n starts, for any number of candidates on one belief. */
export class StartsInformation {
  readonly space: CountSpace;
  private readonly store: MomentStore;
  private readonly leaves: LeafPool;
  private readonly walk: LeafWalk;
  private readonly moments = new Map<number, Moments>();
  private readonly byCause: number[][];
  private readonly classes: ClassIds[];
  private readonly planClasses = new WeakMap<StartsPlan, PlanClasses>();
  /** an exposure above 0 for each cause, to derive from it what happens without the cause */
  private readonly reference: Float64Array;
  private base: { classOf: Int32Array; sum: Float64Array; spread: number } | null = null;

  constructor(
    readonly belief: Belief,
    readonly n: number,
    readonly target: Target,
    readonly atoms: readonly Atom[] = atomsOf(belief, target),
  ) {
    this.space = countSpace(n, belief.model.stages.outcomes);
    this.store = new MomentStore(belief, n);
    this.leaves = new LeafPool(this.space.size);
    this.walk = new LeafWalk(this.space);
    this.byCause = belief.model.causes.map(() => []);
    this.classes = belief.model.causes.map(() => new ClassIds());
    this.reference = new Float64Array(belief.model.causes.length);
    this.atoms.forEach(({ group }, k) => group.members.forEach((i) => this.byCause[i]!.push(k)));
  }

  of(plan: StartsPlan): Information {
    const classes = this.classesOf(plan);
    this.base ??= { classOf: classes.both, ...this.sumAll(plan, classes) };
    const { sum, spread } = this.target === "active" ? this.shifted(plan, classes) : this.sumByTarget(plan, classes);
    const unlisted = unlistedLeaves(this.belief.unlisted, this.belief.unlistedMass, plan.key, this.space);
    let nats = spread + spreadOf(unlisted, 0, this.belief.unlistedMass, this.space);
    const chance = sum.map((p, leaf) => p + unlisted[leaf]!);
    for (let leaf = 0; leaf < this.space.size; leaf++) {
      const p = chance[leaf]!;
      if (p > 0) nats -= this.space.multiplicity[leaf]! * p * Math.log(p);
    }
    // a difference of entropies: rounding can leave −1e-16 where nothing is told
    return { bits: Math.max(0, nats / Math.LN2), chance };
  }

  /** P(atom, outcomes in order) of every leaf. */
  leavesOf(k: number, plan: StartsPlan): Float64Array {
    const slot = this.weighed(k, plan, this.classesOf(plan));
    return this.leaves.values.subarray(slot * this.space.size, (slot + 1) * this.space.size);
  }

  /** Causes are alike in two plans where exposure and efficacy are. */
  private classesOf(plan: StartsPlan): PlanClasses {
    let found = this.planClasses.get(plan);
    if (!found) {
      const exposure = Int32Array.from(plan.exposure, (e, i) => this.classes[i]!.of(e, 0));
      const both = Int32Array.from(plan.exposure, (e, i) => this.classes[i]!.of(e, plan.efficacy[i]!));
      plan.exposure.forEach((e, i) => {
        if (e > 0 && this.reference[i] === 0) this.reference[i] = e;
      });
      this.planClasses.set(plan, (found = { exposure, both }));
    }
    return found;
  }

  private sumAll(plan: StartsPlan, classes: PlanClasses) {
    const sum = new Float64Array(this.space.size);
    let spread = 0;
    for (let k = 0; k < this.atoms.length; k++) {
      const slot = this.weighed(k, plan, classes);
      this.leaves.addTo(sum, slot, 1);
      spread += this.leaves.spread[slot]!;
    }
    return { sum, spread };
  }

  /** The base, with the atoms of causes in another class exchanged. */
  private shifted(plan: StartsPlan, classes: PlanClasses) {
    const base = this.base!;
    const touched = new Set<number>();
    for (let i = 0; i < classes.both.length; i++)
      if (classes.both[i] !== base.classOf[i]) for (const k of this.byCause[i]!) touched.add(k);
    if (touched.size * 2 > this.atoms.length) return this.sumAll(plan, classes);
    const sum = Float64Array.from(base.sum);
    let { spread } = base;
    for (const k of touched) {
      const was = this.leaves.slots.get(this.keyOf(k, base.classOf))!;
      const now = this.weighed(k, plan, classes);
      this.leaves.addTo(sum, was, -1);
      this.leaves.addTo(sum, now, 1);
      spread += this.leaves.spread[now]! - this.leaves.spread[was]!;
    }
    return { sum, spread };
  }

  /** Where several atoms share a target, their leaves are added before the spread is taken. */
  private sumByTarget(plan: StartsPlan, classes: PlanClasses) {
    const byTarget = new Map<number, { leaves: Float64Array; mass: number }>();
    const sum = new Float64Array(this.space.size);
    this.atoms.forEach(({ group, target }, k) => {
      const slot = this.weighed(k, plan, classes);
      const one = byTarget.get(target) ?? { leaves: new Float64Array(this.space.size), mass: 0 };
      this.leaves.addTo(one.leaves, slot, 1);
      this.leaves.addTo(sum, slot, 1);
      one.mass += group.mass;
      byTarget.set(target, one);
    });
    let spread = 0;
    for (const { leaves, mass } of byTarget.values()) spread += spreadOf(leaves, 0, mass, this.space);
    return { sum, spread };
  }

  private keyOf(k: number, classOf: Int32Array): number {
    const { members } = this.atoms[k]!.group;
    let key = k;
    for (let m = 0; m < MAX_SIZE; m++) key = key * CLASSES + (m < members.length ? classOf[members[m]!]! + 1 : 0);
    return key;
  }

  /** The slot of an atom's leaves under a plan, made when first asked for. */
  private weighed(k: number, plan: StartsPlan, classes: PlanClasses): number {
    const key = this.keyOf(k, classes.both);
    let slot = this.leaves.slots.get(key);
    if (slot === undefined) {
      slot = this.leaves.open(key);
      this.fill(slot, k, plan, classes);
      this.leaves.spread[slot] = spreadOf(this.leaves.values, slot * this.space.size, this.atoms[k]!.group.mass, this.space);
    }
    return slot;
  }

  /** Σ over who of the members is cleared by the moves, of its chance times the chances of the outcomes then. */
  private fill(slot: number, k: number, plan: StartsPlan, classes: PlanClasses): void {
    const { members } = this.atoms[k]!.group;
    const at = slot * this.space.size;
    const { table } = this.belief.model;
    for (const { weight, moments } of afterMoves(this.momentsOf(k, plan, classes), members, plan, this.n))
      this.walk.add(this.leaves.values, at, weight, moments.values, moments.shown.length, table(moments.shown));
  }

  /** From the grid where every member is exposed; where one is not, from the moments in which it is. */
  private momentsOf(k: number, plan: StartsPlan, classes: PlanClasses): Moments {
    const { group } = this.atoms[k]!;
    const hidden = group.members.length < 2 ? undefined : group.members.find((i) => plan.exposure[i] === 0 && this.reference[i]! > 0);
    if (hidden === undefined) return this.gridMoments(k, plan, classes);
    // lent for the while: a copy for every atom would cost more than the moments
    [plan.exposure[hidden], classes.exposure[hidden]] = [this.reference[hidden]!, this.classes[hidden]!.of(this.reference[hidden]!, 0)];
    const shown = this.momentsOf(k, plan, classes);
    [plan.exposure[hidden], classes.exposure[hidden]] = [0, this.classes[hidden]!.of(0, 0)];
    return withoutMember(shown, hidden, this.n);
  }

  private gridMoments(k: number, plan: StartsPlan, classes: PlanClasses): Moments {
    const key = this.keyOf(k, classes.exposure);
    let made = this.moments.get(key);
    if (!made) this.moments.set(key, (made = this.store.make(this.atoms[k]!.group, plan.exposure)));
    return made;
  }
}

interface PlanClasses {
  /** class of each cause by exposure; by exposure and efficacy */
  exposure: Int32Array;
  both: Int32Array;
}

/** A cause meets fewer classes than this: there are fewer candidates. */
const CLASSES = 256;

/** Leaves of many atoms in one array, which spares tens of thousands of small ones. */
class LeafPool {
  readonly slots = new Map<number, number>();
  /** Σ_leaf multiplicity · p · ln(p / P(z)) by slot */
  readonly spread: number[] = [];
  values: Float64Array;

  constructor(private readonly size: number) {
    this.values = new Float64Array(size * 4096);
  }

  /** A new slot, filled with zeros. */
  open(key: number): number {
    const slot = this.slots.size;
    this.slots.set(key, slot);
    if ((slot + 1) * this.size > this.values.length) {
      const larger = new Float64Array(this.values.length * 2);
      larger.set(this.values);
      this.values = larger;
    }
    return slot;
  }

  addTo(sum: Float64Array, slot: number, sign: number): void {
    const at = slot * this.size;
    for (let leaf = 0; leaf < this.size; leaf++) sum[leaf] = sum[leaf]! + sign * this.values[at + leaf]!;
  }
}

/** Small whole numbers for the pairs of exposure and efficacy that one cause meets. */
class ClassIds {
  private readonly known = new Map<number, Map<number, number>>();
  private count = 0;

  of(exposure: number, efficacy: number): number {
    let row = this.known.get(efficacy);
    if (!row) this.known.set(efficacy, (row = new Map()));
    let id = row.get(exposure);
    if (id === undefined) row.set(exposure, (id = this.count++));
    return id;
  }
}

/** Who of the members the moves clear, with the chance of it and the moments of those that are left. */
export function afterMoves(moments: Moments, members: readonly number[], plan: StartsPlan, n: number): { weight: number; moments: Moments }[] {
  let branches = [{ weight: 1, moments }];
  if (members.every((i) => plan.efficacy[i] === 0)) return branches;
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
function spreadOf(values: Float64Array, at: number, mass: number, space: CountSpace): number {
  let sum = 0;
  for (let leaf = 0; leaf < space.size; leaf++) {
    const p = values[at + leaf]!;
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
