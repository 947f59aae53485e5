/**
 * Expected information of starts: I(Z; Y) = H(Y) − H(Y | Z), in bits.
 *
 * Z is the active set G before the candidate's own moves (each G one value, the empty one included), or the root cause F;
 * `unlisted` is another value. Y are the counts of outcomes over n starts after the moves, rates integrated out.
 * Source: Lindley 1956 (Annals of Mathematical Statistics 27) for the measure; project model, section 9.
 */
import type { Belief } from "../belief/belief.js";
import { countSpace, LeafWalk, type CountSpace } from "../belief/counts.js";
import { MAX_SIZE } from "../belief/sets.js";
import { MomentStore, withoutMember, type Moments } from "../belief/moments.js";
import { atomsOf, entropyOf, type Atom, type Target } from "./atoms.js";
import { CLASSES } from "./leafPool.js";
import { LeafSums, type PlanClasses, type StartsPlan, type UnlistedChance } from "./leafSums.js";

export interface Information {
  bits: number;
  /** P(outcomes in order) by leaf of the count space */
  chance: Float64Array;
}

/** What is noted of a start: its outcome, or only whether it was clean. */
export type Noted = "outcomes" | "clean";

/**
 * Information of batches of n starts, for any number of candidates on one belief.
 *
 * Where only the clean starts are counted there are n + 1 leaves instead of C(n + S, S), and what they tell is a lower
 * bound on what the outcomes tell (data processing inequality, Cover & Thomas 2006, 2.8), mostly a close one.
 */
export class StartsInformation extends LeafSums {
  readonly space: CountSpace;
  private readonly store: MomentStore;
  private readonly walk: LeafWalk;
  private readonly moments = new Map<number, Moments>();
  /** moments of atoms of up to two members at the reference exposures; (n + 1)² numbers each */
  private readonly plain: Float64Array;
  private readonly isPlain: Uint8Array;
  private readonly scratch: Float64Array;
  /** chances of outcomes with every member shown, by atom */
  private readonly tables: Float64Array[] = [];

  constructor(
    belief: Belief,
    readonly n: number,
    target: Target,
    atoms: readonly Atom[] = atomsOf(belief, target),
    readonly noted: Noted = "outcomes",
  ) {
    const space = countSpace(n, noted === "clean" ? 2 : belief.model.stages.outcomes);
    super(belief, target, space.size, 1, atoms);
    this.space = space;
    this.store = new MomentStore(belief, n);
    this.walk = new LeafWalk(space);
    this.plain = new Float64Array(atoms.length * (n + 1) ** 2);
    this.isPlain = new Uint8Array(atoms.length);
    this.scratch = new Float64Array(n + 1);
  }

  of(plan: StartsPlan): Information {
    const { nats, chance } = this.told(plan);
    return { bits: nats[0]! / Math.LN2, chance };
  }

  protected fillUnlisted(out: Float64Array, chance: UnlistedChance): void {
    const { size, counts, outcomes } = this.space;
    for (let leaf = 0; leaf < size; leaf++)
      out[leaf] = chance(counts.subarray(leaf * outcomes, (leaf + 1) * outcomes));
  }

  protected spreadInto(out: Float64Array, to: number, values: Float64Array, at: number, mass: number): void {
    out[to] = spreadOf(values, at, mass, this.space);
  }

  /** H(Z | leaf) of every leaf, in bits. */
  entropyByLeaf(plan: StartsPlan): Float64Array {
    const { size } = this.space;
    const byTarget = new Map<number, Float64Array>([[-1, this.unlistedLeaves(plan)]]);
    this.eachAtom(plan, (k, values, at) => {
      const { target } = this.atoms[k]!;
      const sum = byTarget.get(target) ?? new Float64Array(size);
      for (let leaf = 0; leaf < size; leaf++) sum[leaf] = sum[leaf]! + values[at + leaf]!;
      byTarget.set(target, sum);
    });
    return Float64Array.from({ length: size }, (_, leaf) =>
      entropyOf([...byTarget.values()].map((p) => p[leaf]!)),
    );
  }

  /** Σ over who of the members is cleared by the moves, of its chance times the chances of the outcomes then. */
  protected fill(at: number, k: number, plan: StartsPlan, classes: PlanClasses): void {
    const { members } = this.atoms[k]!.group;
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
    if (this.noted === "outcomes") return full;
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
