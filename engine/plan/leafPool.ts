/** Where the chances of leaves are kept: one array for tens of thousands of active sets. */
import { MAX_SIZE } from "../belief/sets.js";

/** A cause meets fewer classes than this: there are fewer candidates. */
export const CLASSES = 256;
/** Most causes meet but a few classes: their slots lie in a plain array. */
const NEAR_CLASSES = 8;
const NEAR = NEAR_CLASSES ** 2;
/** Slots there is room for at first, for each atom: most plans share them. */
const FIRST = 1.5;

/** Leaves of many atoms in one array, which spares tens of thousands of small ones. */
export class LeafPool {
  private readonly slots = new Map<number, number>();
  /** slots of the smallest keys, which are nearly all: atoms × NEAR, −1 where there is none */
  private readonly near: Int32Array;
  private count = 0;
  /** Σ_leaf multiplicity · p · ln(p / P(z)), by slot and question; NaN first where it has not been worked out */
  spread: Float64Array;
  values: Float64Array;

  constructor(
    private readonly size: number,
    private readonly questions: number,
    atoms: number,
  ) {
    const slots = Math.ceil(atoms * FIRST);
    this.values = new Float64Array(size * slots);
    this.spread = new Float64Array(questions * slots);
    this.near = new Int32Array(atoms * NEAR).fill(-1);
  }

  /** −1 where the leaves of atom k under this key have not been made. */
  slotOf(k: number, key: number): number {
    const [high, low] = [key >> 8, key & 255];
    if (high < NEAR_CLASSES && low < NEAR_CLASSES) return this.near[k * NEAR + high * NEAR_CLASSES + low]!;
    return this.slots.get(k * CLASSES ** MAX_SIZE + key) ?? -1;
  }

  /** A new slot, filled with zeros; its spread is not known yet. */
  open(k: number, key: number): number {
    const slot = this.count++;
    const [high, low] = [key >> 8, key & 255];
    if (high < NEAR_CLASSES && low < NEAR_CLASSES) this.near[k * NEAR + high * NEAR_CLASSES + low] = slot;
    else this.slots.set(k * CLASSES ** MAX_SIZE + key, slot);
    if ((slot + 1) * this.size > this.values.length) {
      this.values = doubled(this.values);
      this.spread = doubled(this.spread);
    }
    this.spread[slot * this.questions] = NaN;
    return slot;
  }

  addTo(sum: Float64Array, spread: Float64Array, slot: number): void {
    const { size, questions } = this;
    for (let leaf = 0, at = slot * size; leaf < size; leaf++, at++) sum[leaf] = sum[leaf]! + this.values[at]!;
    for (let q = 0; q < questions; q++) spread[q] = spread[q]! + this.spread[slot * questions + q]!;
  }

  exchange(sum: Float64Array, spread: Float64Array, was: number, now: number): void {
    const { size, questions, values } = this;
    for (let leaf = 0, from = was * size, to = now * size; leaf < size; leaf++, from++, to++)
      sum[leaf] = sum[leaf]! + (values[to]! - values[from]!);
    for (let q = 0; q < questions; q++)
      spread[q] = spread[q]! + (this.spread[now * questions + q]! - this.spread[was * questions + q]!);
  }
}

function doubled(values: Float64Array): Float64Array {
  const larger = new Float64Array(values.length * 2);
  larger.set(values);
  return larger;
}

/** Small whole numbers for the pairs of exposure and efficacy that one cause meets. */
export class ClassIds {
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
