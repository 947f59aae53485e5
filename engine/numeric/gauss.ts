/**
 * Gauss rules for an arbitrary discrete measure: few points that integrate polynomials as the many do.
 *
 * N points are exact for polynomials of degree 2N − 1 in the measure's variable. The recurrence comes from the Lanczos
 * process with full reorthogonalisation (Gautschi 2004, Orthogonal Polynomials, §2.2.3), which stays orthogonal to
 * working accuracy at any N; the points and weights from the eigenvalues and first components of the eigenvectors of
 * the Jacobi matrix (Golub & Welsch 1969), found by implicit QL with shifts (Wilkinson & Reinsch 1971, II/4).
 */

/** Points (rising) and weights (≥ 0, same sum as the measure). */
export interface GaussRule {
  point: Float64Array;
  weight: Float64Array;
}

/**
 * @param at      points of the measure; length M
 * @param mass    their weights, ≥ 0; length M
 * @param wanted  number of points of the rule; fewer come back when the measure has fewer
 */
export function gaussRule(at: Float64Array, mass: Float64Array, wanted: number): GaussRule {
  const { diagonal, offDiagonal, total } = jacobiMatrix(at, mass, wanted);
  return jacobiRule(diagonal, offDiagonal, total);
}

/**
 * The rule of a Jacobi matrix.
 * @param diagonal     recurrence coefficients a_k; length N
 * @param offDiagonal  √b_k; length N − 1
 * @param total        the measure's mass
 */
export function jacobiRule(diagonal: Float64Array, offDiagonal: Float64Array, total: number): GaussRule {
  const first = eigenFirstComponents(diagonal, offDiagonal);
  const order = Array.from(diagonal.keys()).sort((x, y) => diagonal[x]! - diagonal[y]!);
  return {
    point: Float64Array.from(order, (k) => diagonal[k]!),
    weight: Float64Array.from(order, (k) => total * first[k]! ** 2),
  };
}

/** A Jacobi matrix; its leading part gives every smaller rule, so that one Lanczos run serves many sizes. */
export interface Recurrence {
  diagonal: Float64Array;
  offDiagonal: Float64Array;
  total: number;
}

export const leadingRule = ({ diagonal, offDiagonal, total }: Recurrence, size: number): GaussRule =>
  jacobiRule(diagonal.slice(0, size), offDiagonal.slice(0, Math.max(0, size - 1)), total);

/** The Jacobi matrix of a measure, up to a size. */
export const jacobiMatrix = (at: Float64Array, mass: Float64Array, wanted: number): Recurrence =>
  new Lanczos(at, mass).upTo(wanted);

/** Lanczos on diag(at) from the vector √mass, as far as it is asked for. */
export class Lanczos {
  private readonly basis: Float64Array[] = [];
  private readonly diagonal: number[] = [];
  private readonly offDiagonal: number[] = [];
  private readonly total: number;
  private readonly scale: number;
  /** the next vector of the basis; null where the measure has no more points */
  private next: Float64Array | null;

  constructor(
    private readonly at: Float64Array,
    mass: Float64Array,
  ) {
    this.total = mass.reduce((sum, m) => sum + m, 0);
    this.scale = at.reduce((top, x) => Math.max(top, Math.abs(x)), 0) || 1;
    this.next = mass.map((m) => Math.sqrt(m / this.total));
  }

  /** @returns the matrix of that size, or as much of it as the measure has points for */
  upTo(wanted: number): Recurrence {
    while (this.basis.length < wanted && this.next) this.grow(this.next);
    return {
      diagonal: Float64Array.from(this.diagonal.slice(0, wanted)),
      offDiagonal: Float64Array.from(this.offDiagonal.slice(0, Math.max(0, wanted - 1))),
      total: this.total,
    };
  }

  private grow(v: Float64Array): void {
    const { at, basis } = this;
    const before = basis.at(-1);
    const b = this.offDiagonal.at(-1) ?? 0;
    let a = 0;
    for (let k = 0; k < v.length; k++) a += at[k]! * v[k]! * v[k]!;
    basis.push(v);
    this.diagonal.push(a);
    const next = v.map((x, k) => (at[k]! - a) * x - (before ? b * before[k]! : 0));
    // twice is enough, and once where the first time took little away (Kahan & Parlett)
    const rough = norm(next);
    orthogonalise(next, basis);
    let left = norm(next);
    if (left < 0.7 * rough) {
      orthogonalise(next, basis);
      left = norm(next);
    }
    if (left < 1e-14 * this.scale || basis.length === v.length) this.next = null;
    else {
      this.offDiagonal.push(left);
      this.next = next.map((x) => x / left);
    }
  }
}

function norm(v: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < v.length; k++) sum += v[k]! * v[k]!;
  return Math.sqrt(sum);
}

function orthogonalise(v: Float64Array, basis: readonly Float64Array[]): void {
  for (const u of basis) {
    let dot = 0;
    for (let k = 0; k < v.length; k++) dot += u[k]! * v[k]!;
    for (let k = 0; k < v.length; k++) v[k] = v[k]! - dot * u[k]!;
  }
}

/** Eigenvalues replace `d`; returns the first component of each eigenvector. */
function eigenFirstComponents(d: Float64Array, offDiagonal: Float64Array): Float64Array {
  const n = d.length;
  const e = new Float64Array(n);
  e.set(offDiagonal);
  const z = new Float64Array(n);
  z[0] = 1;
  for (let l = 0; l < n; l++) {
    for (let sweep = 0; ; sweep++) {
      let m = l;
      while (m < n - 1 && Math.abs(e[m]!) > Number.EPSILON * (Math.abs(d[m]!) + Math.abs(d[m + 1]!))) m++;
      if (m === l) break;
      if (sweep === 60)
        throw new RangeError("gauss rule: found no convergence in 60 sweeps, expected fewer than 10");
      qlSweep(d, e, z, l, m);
    }
  }
  return z;
}

/** One implicit QL sweep on rows l…m. */
function qlSweep(d: Float64Array, e: Float64Array, z: Float64Array, l: number, m: number): void {
  const shift = (d[l + 1]! - d[l]!) / (2 * e[l]!);
  let g = d[m]! - d[l]! + e[l]! / (shift + Math.sign(shift || 1) * Math.hypot(shift, 1));
  let [s, c, p] = [1, 1, 0];
  for (let i = m - 1; i >= l; i--) {
    const f = s * e[i]!;
    const b = c * e[i]!;
    const r = Math.hypot(f, g);
    e[i + 1] = r;
    if (r === 0) {
      d[i + 1] = d[i + 1]! - p;
      e[m] = 0;
      return;
    }
    s = f / r;
    c = g / r;
    g = d[i + 1]! - p;
    const q = (d[i]! - g) * s + 2 * c * b;
    p = s * q;
    d[i + 1] = g + p;
    g = c * q - b;
    const upper = z[i + 1]!;
    z[i + 1] = s * z[i]! + c * upper;
    z[i] = c * z[i]! - s * upper;
  }
  d[l] = d[l]! - p;
  e[l] = g;
  e[m] = 0;
}
