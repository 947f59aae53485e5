/**
 * The sets that a finish is worked out on, in an order of their own: those with any mass, and all that can become of them.
 */
import { indexOfSet, type Sets } from "../belief/sets.js";

/** Places of the sets that a cause is in, and of what is left of each when it goes. */
export interface Holding {
  from: number[];
  to: number[];
}

/** Places of the sets that a repair can cure, and its chance to: those within the causes it touches. */
export interface Cures {
  at: number[];
  chance: number[];
}

export class LiveSets {
  /** members of each, by place; the first is the empty set */
  readonly lists: readonly (readonly number[])[];
  /** by cause */
  readonly holding: readonly Holding[];
  /** place of every set, −1 where it is none of these */
  private readonly places: Int32Array;
  private readonly known = new Map<Float64Array, Cures>();

  /** @param live  indexes of sets, rising: the empty one, and with each all that is in it */
  constructor(
    private readonly sets: Sets,
    live: readonly number[],
  ) {
    this.places = new Int32Array(sets.count).fill(-1);
    live.forEach((f, at) => (this.places[f] = at));
    this.lists = live.map((f) => sets.lists[f]!);
    const holding = Array.from({ length: sets.causes }, (): Holding => ({ from: [], to: [] }));
    this.lists.forEach((list, at) => {
      for (const i of list) {
        holding[i]!.from.push(at);
        holding[i]!.to.push(this.placeOf(list.filter((j) => j !== i)));
      }
    });
    this.holding = holding;
  }

  /** −1 where the set is none of these. */
  placeOf = (members: readonly number[]): number => this.places[indexOfSet(this.sets, ...members)]!;

  /** @param clears  chance that a repair rids the machine of each cause; length C */
  curesOf(clears: Float64Array): Cures {
    let cures = this.known.get(clears);
    if (!cures) {
      const touched = [...clears.keys()].filter((i) => clears[i]! > 0);
      cures = { at: [], chance: [] };
      for (const list of within(touched, this.sets.maxCauses)) {
        const at = this.placeOf(list);
        if (at < 0) continue;
        cures.at.push(at);
        cures.chance.push(list.reduce((product, i) => product * clears[i]!, 1));
      }
      this.known.set(clears, cures);
    }
    return cures;
  }

  /** Of the product of a chance over the members of every set. */
  products(chance: Float64Array, of: (product: number) => number): Float64Array {
    const products = new Float64Array(this.lists.length);
    for (let at = 0; at < products.length; at++) {
      let product = 1;
      for (const i of this.lists[at]!) product *= chance[i]!;
      products[at] = of(product);
    }
    return products;
  }
}

/** Every set of one up to `most` of the given causes, rising. */
function within(causes: readonly number[], most: number): number[][] {
  if (most === 0) return [];
  return causes.flatMap((i, k) => [
    [i],
    ...within(causes.slice(k + 1), most - 1).map((rest) => [i, ...rest]),
  ]);
}
