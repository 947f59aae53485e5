/**
 * What a test is worth: the drop in the expected cost to the end, over its answers, less what it costs.
 *
 * After an answer the masses are those of the atoms times the chance of the answer under each; the behaviour of the causes
 * in a later proof is taken as it is known now. Looking further, the best of the following tests may come before the
 * finish, with the answers taken as independent given what is at work.
 */
import type { Atom } from "./atoms.js";
import type { Finisher, Masses } from "./finish.js";

/** A test as it is seen from here. */
export interface Trial {
  /** money: minutes, parts, risks, and the way back to the arrangement now on the bench */
  cost: number;
  /** P(answer | atom), atoms × answers, row-major */
  chance: Float64Array;
  /** P(answer | unlisted); length answers */
  unlisted: Float64Array;
}

/** Masses by atom before they are told apart by what is in use. */
interface ByAtom {
  atom: Float64Array;
  unlisted: number;
}

export class Outlook {
  private readonly now: ByAtom;

  /**
   * @param place  of the set of each atom's members that are in use, among the live ones; length atoms
   */
  constructor(
    private readonly finisher: Finisher,
    atoms: readonly Atom[],
    unlisted: number,
    private readonly place: Int32Array,
  ) {
    this.now = { atom: Float64Array.from(atoms, ({ group }) => group.mass), unlisted };
  }

  /** Masses of the sets in use. */
  masses({ atom, unlisted }: ByAtom = this.now): Masses {
    const set = new Float64Array(this.finisher.problem.live.lists.length);
    for (let k = 0; k < atom.length; k++) set[this.place[k]!] = set[this.place[k]!]! + atom[k]!;
    return { set, unlisted };
  }

  /**
   * Expected money to the end if this test is made next.
   * @param further  tests that may follow it, at most `depth` of them
   */
  costAfter(trial: Trial, further: readonly Trial[] = [], depth = 0, from: ByAtom = this.now): number {
    const answers = trial.unlisted.length;
    let cost = trial.cost * massOf(from);
    for (let y = 0; y < answers; y++) {
      const atom = from.atom.slice();
      for (let k = 0; k < atom.length; k++) atom[k] = atom[k]! * trial.chance[k * answers + y]!;
      cost += this.costFrom({ atom, unlisted: from.unlisted * trial.unlisted[y]! }, further, depth);
    }
    return cost;
  }

  private costFrom(masses: ByAtom, further: readonly Trial[], depth: number): number {
    const finish = this.finisher.least(this.masses(masses));
    if (depth === 0) return finish;
    return further.reduce(
      (best, trial) => Math.min(best, this.costAfter(trial, further, depth - 1, masses)),
      finish,
    );
  }
}

function massOf({ atom, unlisted }: ByAtom): number {
  let sum = unlisted;
  for (const mass of atom) sum += mass;
  return sum;
}
