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

/** Beyond, the recurrence runs away where points crowd at an end; a likelihood is smooth enough to need no more. */
const MOST_TERMS = 20;

/**
 * Σ_k c_k p_k(x) with c_k = Σ_j value_j p_k(x_j) over the points of the rule: what a density known at those points is
 * elsewhere, relative to the measure. The p_k are orthonormal, so the measure bounds what rounding can do.
 *
 * @param values  weight times density at the rule's points; length N
 * @returns the density over the measure at each of `elsewhere`
 */
export function project(
  { diagonal, offDiagonal, total }: Recurrence,
  points: Float64Array,
  values: Float64Array,
  elsewhere: Float64Array,
): Float64Array {
  const out = new Float64Array(elsewhere.length);
  let [here, there] = [points.map(() => 1 / Math.sqrt(total)), elsewhere.map(() => 1 / Math.sqrt(total))];
  let [hereBefore, thereBefore] = [new Float64Array(points.length), new Float64Array(elsewhere.length)];
  const terms = Math.min(points.length, MOST_TERMS);
  for (let k = 0; k < terms; k++) {
    let c = 0;
    for (let j = 0; j < points.length; j++) c += values[j]! * here[j]!;
    for (let x = 0; x < out.length; x++) out[x] = out[x]! + c * there[x]!;
    const [a, b, before] = [diagonal[k]!, offDiagonal[k] ?? 0, k === 0 ? 0 : offDiagonal[k - 1]!];
    if (k + 1 === terms || b === 0) break;
    const next = (at: Float64Array, now: Float64Array, last: Float64Array) =>
      now.map((p, j) => ((at[j]! - a) * p - before * last[j]!) / b);
    [hereBefore, here] = [here, next(points, here, hereBefore)];
    [thereBefore, there] = [there, next(elsewhere, there, thereBefore)];
  }
  return out;
}

/** Lanczos on diag(at) from the vector √mass. */
export function jacobiMatrix(at: Float64Array, mass: Float64Array, wanted: number): Recurrence {
  const M = at.length;
  let total = 0;
  for (let k = 0; k < M; k++) total += mass[k]!;
  const basis: Float64Array[] = [];
  const diagonal: number[] = [];
  const offDiagonal: number[] = [];
  let v = new Float64Array(M);
  for (let k = 0; k < M; k++) v[k] = Math.sqrt(mass[k]! / total);
  const scale = at.reduce((top, x) => Math.max(top, Math.abs(x)), 0) || 1;
  for (let n = 0; n < wanted; n++) {
    basis.push(v);
    const next = new Float64Array(M);
    let mean = 0;
    for (let k = 0; k < M; k++) mean += at[k]! * v[k]! * v[k]!;
    diagonal.push(mean);
    for (let k = 0; k < M; k++) next[k] = at[k]! * v[k]!;
    // twice is enough (Kahan & Parlett)
    orthogonalise(next, basis);
    orthogonalise(next, basis);
    let norm = 0;
    for (let k = 0; k < M; k++) norm += next[k]! * next[k]!;
    norm = Math.sqrt(norm);
    if (n + 1 === wanted || norm < 1e-14 * scale) break;
    offDiagonal.push(norm);
    for (let k = 0; k < M; k++) next[k] = next[k]! / norm;
    v = next;
  }
  return { diagonal: Float64Array.from(diagonal), offDiagonal: Float64Array.from(offDiagonal), total };
}

function orthogonalise(v: Float64Array, basis: Float64Array[]): void {
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
