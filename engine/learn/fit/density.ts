/**
 * A density of one coordinate, known by its logarithm on an even grid, with a cubic (Catmull & Rom 1974) between the points.
 * Its constant does not matter, and is told: `logTotal` is ln of the integral.
 */
export type Line = readonly (readonly [x: number, log: number])[];

const FINE = 8;

export class Density {
  readonly logTotal: number;
  readonly #xs: number[] = [];
  /** integral up to each of `#xs`, in units of a fine step, with the highest density as 1 */
  readonly #sums: number[] = [0];

  /** @param line  an even grid, of two points at least */
  constructor(line: Line) {
    const top = Math.max(...line.map(([, log]) => log));
    const logAt = (k: number) => line[Math.max(0, Math.min(line.length - 1, k))]![1] - top;
    const step = line[1]![0] - line[0]![0];
    let last = Math.exp(logAt(0));
    this.#xs.push(line[0]![0]);
    for (let k = 0; k + 1 < line.length; k++)
      for (let f = 1; f <= FINE; f++) {
        const density = Math.exp(cubic([k - 1, k, k + 1, k + 2].map(logAt), f / FINE));
        this.#sums.push(this.#sums.at(-1)! + (density + last) / 2);
        this.#xs.push(line[k]![0] + (f / FINE) * step);
        last = density;
      }
    this.logTotal = top + Math.log((this.#sums.at(-1)! * step) / FINE);
  }

  get ends(): [low: number, high: number] {
    return [this.#xs[0]!, this.#xs.at(-1)!];
  }

  /** Share of the density below x. */
  below(x: number): number {
    const [low, high] = this.ends;
    if (x <= low) return 0;
    if (x >= high) return 1;
    const at = (x - low) / (this.#xs[1]! - low);
    const k = Math.min(this.#sums.length - 2, Math.floor(at));
    return (this.#sums[k]! + (at - k) * (this.#sums[k + 1]! - this.#sums[k]!)) / this.#sums.at(-1)!;
  }

  quantile(p: number): number {
    return quantileOf((x) => this.below(x), this.ends, p);
  }

  /** Mean of a function of x. */
  mean(of: (x: number) => number): number {
    let sum = 0;
    for (let k = 1; k < this.#xs.length; k++)
      sum += (this.#sums[k]! - this.#sums[k - 1]!) * of((this.#xs[k]! + this.#xs[k - 1]!) / 2);
    return sum / this.#sums.at(-1)!;
  }
}

/** Between the two in the middle of four. */
function cubic([a, b, c, d]: readonly number[], t: number): number {
  return b! + (t / 2) * (c! - a! + t * (2 * a! - 5 * b! + 4 * c! - d! + t * (3 * (b! - c!) + d! - a!)));
}

/** Where a rising function from 0 to 1 reaches p, by halving. */
export function quantileOf(below: (x: number) => number, [low, high]: readonly [number, number], p: number) {
  let [from, to] = [low, high];
  for (let turn = 0; turn < 48; turn++) {
    const middle = (from + to) / 2;
    if (below(middle) < p) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
}

/** Down to e^-9 of the top, 1e-4: what is left out moves neither end of an interval. */
const DOWN = 9;
const MOST = 400;

/** A logarithm on an even grid through `near`, as far as it is worth. */
export function lineAround(log: (x: number) => number, near: number, step: number): [number, number][] {
  const line: [number, number][] = [[near, log(near)]];
  let top = line[0]![1];
  for (const way of [-1, 1])
    for (let k = 1; k <= MOST; k++) {
      const x = near + way * k * step;
      const value = log(x);
      line.push([x, value]);
      top = Math.max(top, value);
      if (!(value > top - DOWN)) break;
    }
  return line.sort(([x], [y]) => x - y);
}

/** Standard deviation of the Gaussian that bends as a logarithm does at x. @param width  of the differences */
export function spreadAt(log: (x: number) => number, x: number, width: number): number {
  const curvature = (2 * log(x) - log(x + width) - log(x - width)) / width ** 2;
  return 1 / Math.sqrt(curvature);
}
