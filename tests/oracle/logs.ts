/** ln Σ e^x, −∞ for none. */
export function sumLogs(logs: Iterable<number>): number {
  const all = [...logs];
  const top = all.reduce((a, b) => Math.max(a, b), -Infinity);
  if (top === -Infinity) return top;
  return top + Math.log(all.reduce((sum, x) => sum + Math.exp(x - top), 0));
}

/** Sums of vectors that each carry a factor e^scale: no term is lost however small the first ones were. */
export class Accumulator {
  top = -Infinity;
  readonly sums: Float64Array;
  constructor(length: number) {
    this.sums = new Float64Array(length);
  }
  add(scale: number, values: ArrayLike<number>): void {
    if (!(scale > this.top - 80)) return; // below e^−80 of the largest: out of reach of the last digit
    if (scale > this.top) {
      const shrink = Math.exp(this.top - scale);
      for (let k = 0; k < this.sums.length; k++) this.sums[k]! *= shrink;
      this.top = scale;
    }
    const factor = Math.exp(scale - this.top);
    for (let k = 0; k < this.sums.length; k++) this.sums[k]! += factor * values[k]!;
  }
  logs(): number[] {
    return Array.from(this.sums, (x) => Math.log(x) + this.top);
  }
}
