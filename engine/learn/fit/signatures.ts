/** Where causes stop: Dirichlet–multinomial around the catalog's signatures. */

/** How many stops' worth the catalog's signatures are held by (judgement). */
export const SIGNATURE_WORTH = 10;
/** Share of a signature's pseudo-counts that every stage gets: a stage it does not name may still be learned. */
const ANY_STAGE = 0.02;

/** Pseudo-counts of the causes; the leak's signature and the row of `unlisted` are not fitted. T × S */
export function signaturePrior(signatures: Float64Array, S: number): Float64Array {
  return signatures
    .subarray(0, signatures.length - 2 * S)
    .map((p) => SIGNATURE_WORTH * ((1 - ANY_STAGE) * p + ANY_STAGE / S));
}

/** @param from  C × S  @param pseudo  T × S  @param stops  C × S; without them, what the prior alone says */
export function fitSignatures(from: Float64Array, pseudo: Float64Array, stops?: Float64Array): Float64Array {
  const signatures = Float64Array.from(from);
  const S = (from.length - pseudo.length) / 2; // `none` and `unlisted` have no pseudo-counts
  for (let row = 0; row < pseudo.length; row += S) {
    let total = 0;
    for (let at = row; at < row + S; at++) total += signatures[at] = pseudo[at]! + (stops?.[at] ?? 0);
    for (let at = row; at < row + S; at++) signatures[at]! /= total;
  }
  return signatures;
}
