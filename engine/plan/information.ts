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
import type { Belief } from "../belief/belief.js";
import { countSpace, LeafWalk, unlistedLeaves, type CountSpace } from "../belief/counts.js";
import { MAX_SIZE } from "../belief/sets.js";
import { MomentStore, withoutMember, type Moments } from "../belief/moments.js";
import { atomsByCause, atomsOf, entropyOf, type Atom, type Target } from "./atoms.js";
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

export interface Information {
  bits: number;
  /** P(outcomes in order) by leaf of the count space */
  chance: Float64Array;
}

/** What is noted of a start: its outcome, or only whether it was clean. */
export type Told = "outcomes" | "clean";

/**
 * Information of batches of n starts, for any number of candidates on one belief.
 *
 * Where only the clean starts are counted there are n + 1 leaves instead of C(n + S, S), and what they tell is a lower
 * bound on what the outcomes tell (data processing inequality, Cover & Thomas 2006, 2.8), mostly a close one.
 */
export class StartsInformation {
  readonly space: CountSpace;
  private readonly store: MomentStore;
  private readonly leaves: LeafPool;
  private readonly walk: LeafWalk;
  private readonly moments = new Map<number, Moments>();
  private readonly classes: ClassIds[];
  private readonly planClasses = new WeakMap<StartsPlan, PlanClasses>();
  /** the exposure each cause has in the first plan, or the nominal one: the one it mostly has */
  private readonly reference: Float64Array;
  /** moments of atoms of up to two members at the reference exposures; (n + 1)² numbers each */
  private readonly plain: Float64Array;
  private readonly isPlain: Uint8Array;
  private readonly scratch: Float64Array;
  /** chances of outcomes with every member shown, by atom */
  private readonly tables: Float64Array[] = [];
  private base: Base | null = null;
  /** by key, the setups never started in yet as one */
  private readonly unlisted = new Map<string, Float64Array>();

  constructor(
    readonly belief: Belief,
    readonly n: number,
    readonly target: Target,
    readonly atoms: readonly Atom[] = atomsOf(belief, target),
    readonly told: Told = "outcomes",
  ) {
    this.space = countSpace(n, told === "clean" ? 2 : belief.model.stages.outcomes);
    this.store = new MomentStore(belief, n);
    this.leaves = new LeafPool(this.space.size, this.atoms.length);
    this.walk = new LeafWalk(this.space);
    this.classes = belief.model.causes.map(() => new ClassIds());
    this.reference = new Float64Array(belief.model.causes.length).fill(NOMINAL);
    this.plain = new Float64Array(this.atoms.length * (n + 1) ** 2);
    this.isPlain = new Uint8Array(this.atoms.length);
    this.scratch = new Float64Array(n + 1);
  }

  of(plan: StartsPlan): Information {
    const classes = this.classesOf(plan);
    this.base ??= this.baseOf(plan, classes);
    const { sum, spread } =
      this.target === "active" ? this.shifted(plan, classes) : this.sumByTarget(plan, classes);
    const unlisted = this.unlistedLeaves(plan);
    let nats = spread + spreadOf(unlisted, 0, this.belief.unlistedMass, this.space);
    const chance = sum.map((p, leaf) => p + unlisted[leaf]!);
    for (let leaf = 0; leaf < this.space.size; leaf++) {
      const p = chance[leaf]!;
      if (p > 0) nats -= this.space.multiplicity[leaf]! * p * Math.log(p);
    }
    // a difference of entropies: rounding can leave −1e-16 where nothing is told
    return { bits: Math.max(0, nats / Math.LN2), chance };
  }

  /** P(unlisted, outcomes in order) of every leaf. */
  unlistedLeaves(plan: StartsPlan): Float64Array {
    const { unlisted, unlistedMass } = this.belief;
    const key = unlisted.apart.has(plan.key) ? plan.key : "";
    let leaves = this.unlisted.get(key);
    if (!leaves) this.unlisted.set(key, (leaves = unlistedLeaves(unlisted, unlistedMass, key, this.space)));
    return leaves;
  }

  /** H(Z | leaf) of every leaf, in bits. */
  entropyByLeaf(plan: StartsPlan): Float64Array {
    const { size } = this.space;
    const byTarget = new Map<number, Float64Array>([[-1, this.unlistedLeaves(plan)]]);
    this.atoms.forEach(({ target }, k) => {
      const sum = byTarget.get(target) ?? new Float64Array(size);
      const leaves = this.leavesOf(k, plan);
      for (let leaf = 0; leaf < size; leaf++) sum[leaf] = sum[leaf]! + leaves[leaf]!;
      byTarget.set(target, sum);
    });
    return Float64Array.from({ length: size }, (_, leaf) =>
      entropyOf([...byTarget.values()].map((p) => p[leaf]!)),
    );
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
      if (this.base === null) plan.exposure.forEach((e, i) => (this.reference[i] = e > 0 ? e : NOMINAL));
      this.planClasses.set(plan, (found = { exposure, both }));
    }
    return found;
  }

  private baseOf(plan: StartsPlan, classes: PlanClasses): Base {
    const sums = this.sumAll(plan, classes);
    const slots = Int32Array.from(this.atoms, (_, k) => this.leaves.slotOf(k, this.keyOf(k, classes.both)));
    return { classOf: classes.both, slots, ...sums };
  }

  private sumAll(plan: StartsPlan, classes: PlanClasses) {
    const sum = new Float64Array(this.space.size);
    let spread = 0;
    for (let k = 0; k < this.atoms.length; k++) {
      const slot = this.weighed(k, plan, classes);
      this.leaves.addTo(sum, slot);
      spread += this.leaves.spread[slot]!;
    }
    return { sum, spread };
  }

  /** The base, with the atoms of causes in another class exchanged. */
  private shifted(plan: StartsPlan, classes: PlanClasses) {
    const base = this.base!;
    const byCause = atomsByCause(this.atoms);
    const touched: number[] = [];
    const seen = new Uint8Array(this.atoms.length);
    for (let i = 0; i < classes.both.length; i++) {
      if (classes.both[i] === base.classOf[i]) continue;
      for (const k of byCause[i] ?? []) if (seen[k] === 0) seen[k] = touched.push(k) && 1;
    }
    if (touched.length * 2 > this.atoms.length) return this.sumAll(plan, classes);
    const sum = Float64Array.from(base.sum);
    let { spread } = base;
    for (const k of touched) {
      const was = base.slots[k]!;
      const now = this.weighed(k, plan, classes);
      this.leaves.exchange(sum, was, now);
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
      this.leaves.addTo(one.leaves, slot);
      this.leaves.addTo(sum, slot);
      one.mass += group.mass;
      byTarget.set(target, one);
    });
    let spread = 0;
    for (const { leaves, mass } of byTarget.values()) spread += spreadOf(leaves, 0, mass, this.space);
    return { sum, spread };
  }

  private keyOf(k: number, classOf: Int32Array): number {
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
      this.fill(slot, k, plan, classes);
      this.leaves.spread[slot] = spreadOf(
        this.leaves.values,
        slot * this.space.size,
        this.atoms[k]!.group.mass,
        this.space,
      );
    }
    return slot;
  }

  /** Σ over who of the members is cleared by the moves, of its chance times the chances of the outcomes then. */
  private fill(slot: number, k: number, plan: StartsPlan, classes: PlanClasses): void {
    const { members } = this.atoms[k]!.group;
    const at = slot * this.space.size;
    if (this.fillPlainly(at, k, plan)) return;
    const table = this.table;
    for (const { weight, moments } of afterMoves(this.momentsOf(k, plan, classes), members, plan, this.n))
      this.walk.add(
        this.leaves.values,
        at,
        weight,
        moments.values,
        0,
        moments.shown.length,
        table(moments.shown),
      );
  }

  /**
   * The same for what nearly every atom is: up to two members, none that the moves may clear, each hidden or at the
   * exposure it mostly has. The moments at those exposures lie in one array; no object is made.
   * @returns false where the atom is none of these
   */
  private fillPlainly(at: number, k: number, plan: StartsPlan): boolean {
    const { members, mass } = this.atoms[k]!.group;
    if (members.length > 2) return false;
    let shown = 0;
    let last = -1;
    for (const i of members) {
      if (plan.exposure[i] === 0) continue;
      if (plan.efficacy[i] !== 0 || plan.exposure[i] !== this.reference[i]) return false;
      shown++;
      last = i;
    }
    const table = this.table;
    if (shown === 0) {
      this.scratch[0] = mass;
      this.walk.add(this.leaves.values, at, 1, this.scratch, 0, 0, table(NOBODY));
    } else if (shown === members.length) {
      const from = this.referenceMoments(k);
      this.walk.add(this.leaves.values, at, 1, this.plain, from, shown, (this.tables[k] ??= table(members)));
    } else {
      this.hideOne(this.referenceMoments(k), last === members[1] ? 0 : 1);
      this.walk.add(this.leaves.values, at, 1, this.scratch, 0, 1, table([last]));
    }
    return true;
  }

  /** Where the moments of an atom begin with every member at its reference exposure; made when first asked for. */
  private referenceMoments(k: number): number {
    const from = k * (this.n + 1) ** 2;
    if (!this.isPlain[k]) {
      this.isPlain[k] = 1;
      this.store.addTo(this.plain, from, this.atoms[k]!.group, this.reference);
    }
    return from;
  }

  /** One of two members no longer shown: 1 = Σ_k C(n, k) q^k (1 − q)^(n−k) along its axis. */
  private hideOne(from: number, axis: number): void {
    const degrees = this.n + 1;
    const [along, across] = axis === 0 ? [degrees, 1] : [1, degrees];
    for (let x = 0; x < degrees; x++) {
      let [sum, choose] = [0, 1];
      for (let k = 0; k < degrees; k++) {
        sum += choose * this.plain[from + k * along + x * across]!;
        choose = (choose * (this.n - k)) / (k + 1);
      }
      this.scratch[x] = sum;
    }
  }

  /** Chances by which members show: of the outcomes, or of [a stop, a clean start]. */
  private readonly table = (shown: readonly number[]): Float64Array => {
    const full = this.belief.model.table(shown);
    if (this.told === "outcomes") return full;
    const subsets = 1 << shown.length;
    const two = new Float64Array(2 * subsets);
    for (let x = 0; x < full.length; x++) {
      const at = (x < full.length - subsets ? 0 : subsets) + (x % subsets);
      two[at] = two[at]! + full[x]!;
    }
    return two;
  };

  /** From the grid where every member is exposed; where one is not, from the moments in which it is. */
  private momentsOf(k: number, plan: StartsPlan, classes: PlanClasses): Moments {
    const key = this.keyOf(k, classes.exposure);
    let made = this.moments.get(k * CLASSES ** MAX_SIZE + key);
    if (!made)
      this.moments.set(
        k * CLASSES ** MAX_SIZE + key,
        (made = this.store.make(this.atoms[k]!.group, plan.exposure)),
      );
    return made;
  }
}

const NOBODY: readonly number[] = [];
const NOMINAL = 1;

/** The sums of the first plan, and the slots of its atoms. */
interface Base {
  classOf: Int32Array;
  slots: Int32Array;
  sum: Float64Array;
  spread: number;
}

interface PlanClasses {
  /** class of each cause by exposure; by exposure and efficacy */
  exposure: Int32Array;
  both: Int32Array;
}

/** Who of the members the moves clear, with the chance of it and the moments of those that are left. */
export function afterMoves(
  moments: Moments,
  members: readonly number[],
  plan: StartsPlan,
  n: number,
): { weight: number; moments: Moments }[] {
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

/**
 * Σ_leaf multiplicity · p · ln(p / mass), where Σ_leaf multiplicity · p = mass: minus P(z) H(Y | z), up to the multinomial
 * terms that cancel.
 */
function spreadOf(
  values: Float64Array,
  at: number,
  mass: number,
  { size, multiplicity }: CountSpace,
): number {
  if (mass === 0) return 0;
  let sum = 0;
  for (let leaf = 0; leaf < size; leaf++) {
    const p = values[at + leaf]!;
    if (p > 0) sum += multiplicity[leaf]! * p * Math.log(p);
  }
  return sum - mass * Math.log(mass);
}
