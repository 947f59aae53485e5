/**
 * A smooth function known at a few uneven points, elsewhere: the polynomial through the nearest of them.
 *
 * Points of a Gauss rule crowd where its measure ends, so that the polynomial through a dozen of them is safe between them
 * and a little beyond. Through thirty it would run wild where the measure has hardly more points of its own, and Gram's
 * polynomials on n even points do so from degree 2√n on.
 */

/** Points a polynomial goes through, half of them on each side where there are so many. */
const NEAREST = 12;
/** Points nearer to one another than this share of them all tell the same, and their rounding would be taken for a slope. */
const APART = 1e-9;

/** What each of some places takes of the values at the points. */
export interface Bridge {
  /** the points that count, as indices of those given */
  kept: number[];
  /** for each place, the first of those it takes from: its own and `width` − 1 more; length M */
  from: Int32Array;
  width: number;
  /** by place, what it takes of each: M × width, row-major */
  share: Float64Array;
}

/**
 * @param points     rising; those hardly above their predecessor are passed over; length N
 * @param elsewhere  where values are wanted, rising; length M
 */
export function bridgeOf(points: Float64Array, elsewhere: Float64Array): Bridge {
  const kept = apart(points);
  const at = Float64Array.from(kept, (k) => points[k]!);
  const last = at.length - 1;
  const width = Math.min(NEAREST, at.length);
  const from = new Int32Array(elsewhere.length);
  const share = new Float64Array(elsewhere.length * width).fill(1);
  if (last === 0) return { kept, from, width, share };
  // next to no mass lies further out than the next point would
  const [lowest, highest] = [2 * at[0]! - at[1]!, 2 * at[last]! - at[last - 1]!];
  const weights = Array.from({ length: at.length - width + 1 }, (_, k) =>
    weightsOf(at.subarray(k, k + width)),
  );
  let above = 0;
  elsewhere.forEach((place, m) => {
    const x = Math.min(highest, Math.max(lowest, place));
    while (above <= last && at[above]! < x) above++;
    from[m] = Math.min(at.length - width, Math.max(0, above - width / 2));
    sharesAt(x, at.subarray(from[m]!), weights[from[m]!]!, share.subarray(m * width));
  });
  return { kept, from, width, share };
}

/** @param values  at the points; length N */
export function across({ kept, from, width, share }: Bridge, values: Float64Array): Float64Array {
  const height = Float64Array.from(kept, (k) => values[k]!);
  const out = new Float64Array(from.length);
  for (let m = 0, s = 0; m < out.length; m++) {
    let sum = 0;
    for (let j = 0; j < width; j++, s++) sum += share[s]! * height[from[m]! + j]!;
    out[m] = sum;
  }
  return out;
}

export const between = (points: Float64Array, values: Float64Array, elsewhere: Float64Array): Float64Array =>
  across(bridgeOf(points, elsewhere), values);

function apart(points: Float64Array): number[] {
  const least = APART * (points.at(-1)! - points[0]!);
  const kept = [0];
  for (let k = 1; k < points.length; k++) if (points[k]! - points[kept.at(-1)!]! > least) kept.push(k);
  return kept;
}

/** The first barycentric form: backward stable, beyond the points too (Higham 2004). */
function sharesAt(x: number, at: Float64Array, weight: Float64Array, share: Float64Array): void {
  const here = weight.findIndex((_, j) => at[j] === x);
  const product = weight.reduce((all, _, j) => all * (x - at[j]!), 1);
  weight.forEach((w, j) => (share[j] = here < 0 ? (product * w) / (x - at[j]!) : Number(j === here)));
}

const weightsOf = (at: Float64Array): Float64Array =>
  at.map((x, j) => {
    let product = 1;
    for (let i = 0; i < at.length; i++) if (i !== j) product *= x - at[i]!;
    return 1 / product;
  });
