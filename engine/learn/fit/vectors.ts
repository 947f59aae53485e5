/** Vectors of length C by what they belong to, many in one block: thousands of small buffers cost more than their numbers. */
export class Vectors<K> {
  readonly all = new Map<K, Float64Array>();
  #block = new Float64Array(0);
  #used = 0;

  constructor(private readonly causes: number) {}

  /** All 0 where it is asked for the first time, or what `make` puts into it. */
  of(key: K, make?: (own: Float64Array) => void): Float64Array {
    let own = this.all.get(key);
    if (own) return own;
    this.all.set(key, (own = this.#next()));
    make?.(own);
    return own;
  }

  #next(): Float64Array {
    if (this.#used + this.causes > this.#block.length) {
      this.#block = new Float64Array(64 * this.causes);
      this.#used = 0;
    }
    return this.#block.subarray(this.#used, (this.#used += this.causes));
  }
}
