/**
 * Vectors of length C by what they belong to, many in one block: thousands of small buffers cost more than their numbers. Taken
 * up anew they keep their room, so that the passes of a fit do not pile up what the last one left.
 */
export class Vectors<K> {
  readonly all = new Map<K, Float64Array>();
  readonly #room: Float64Array[] = [];

  constructor(private readonly causes: number) {}

  /** All 0 where it is asked for the first time, or what `make` puts into it. */
  of(key: K, make?: (own: Float64Array) => void): Float64Array {
    let own = this.all.get(key);
    if (own) return own;
    own = this.#next();
    this.all.set(key, own);
    make?.(own);
    return own;
  }

  /** Forgets what everything belonged to. */
  clear(): void {
    this.all.clear();
  }

  #next(): Float64Array {
    const at = this.all.size;
    if (at === this.#room.length) {
      const block = new Float64Array(64 * this.causes);
      for (let k = 0; k < 64; k++) this.#room.push(block.subarray(k * this.causes, (k + 1) * this.causes));
    }
    return this.#room[at]!.fill(0);
  }
}
