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

/**
 * @param points     rising; those hardly above their predecessor are passed over; length N
 * @param values     at the points; length N
 * @param elsewhere  where it is wanted, rising
 */
export function between(points: Float64Array, values: Float64Array, elsewhere: Float64Array): Float64Array {
  const kept = apart(points);
  const at = Float64Array.from(kept, (k) => points[k]!);
  const height = Float64Array.from(kept, (k) => values[k]!);
  const last = at.length - 1;
  if (last === 0) return new Float64Array(elsewhere.length).fill(height[0]!);
  // next to no mass lies further out than the next point would
  const [lowest, highest] = [2 * at[0]! - at[1]!, 2 * at[last]! - at[last - 1]!];
  const width = Math.min(NEAREST, at.length);
  const weights = Array.from({ length: at.length - width + 1 }, (_, k) =>
    weightsOf(at.subarray(k, k + width)),
  );
  let above = 0;
  return elsewhere.map((place) => {
    const x = Math.min(highest, Math.max(lowest, place));
    while (above <= last && at[above]! < x) above++;
    const from = Math.min(at.length - width, Math.max(0, above - width / 2)) | 0;
    return through(at, height, weights[from]!, from, x);
  });
}

function apart(points: Float64Array): number[] {
  const least = APART * (points.at(-1)! - points[0]!);
  const kept = [0];
  for (let k = 1; k < points.length; k++) if (points[k]! - points[kept.at(-1)!]! > least) kept.push(k);
  return kept;
}

/** The first barycentric form: backward stable, beyond the points too (Higham 2004). */
function through(
  at: Float64Array,
  height: Float64Array,
  weight: Float64Array,
  from: number,
  x: number,
): number {
  let [product, sum] = [1, 0];
  for (let j = 0; j < weight.length; j++) {
    const off = x - at[from + j]!;
    if (off === 0) return height[from + j]!;
    product *= off;
    sum += (weight[j]! * height[from + j]!) / off;
  }
  return product * sum;
}

const weightsOf = (at: Float64Array): Float64Array =>
  at.map((x, j) => {
    let product = 1;
    for (let i = 0; i < at.length; i++) if (i !== j) product *= x - at[i]!;
    return 1 / product;
  });
