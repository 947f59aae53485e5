/**
 * Arrays of weights that nobody reads any more, to be filled again: of a fresh one of millions of numbers the system has
 * to map every page first, which takes ten times as long as what is written there.
 */

/** Numbers that lie ready at most, 8 bytes each. */
const MOST = 1.5e7;
/** Weights grow where a cause may have left or not: what is made anew has room for that, which costs nothing until used. */
const ROOM = 1.25;

let spare: Float64Array[] = [];

/** @returns an array of this length, with anything in it */
export function taken(length: number): Float64Array {
  const fits = (one: Float64Array) => one.length >= length && one.length <= 2 * length;
  const best = spare.filter(fits).sort((x, y) => x.length - y.length)[0];
  if (!best) return new Float64Array(Math.ceil(ROOM * length)).subarray(0, length);
  spare = spare.filter((one) => one !== best);
  return best.subarray(0, length);
}

/** @param values  as they were taken; they will be written over */
export function letGo(values: Float64Array): void {
  spare.push(new Float64Array(values.buffer));
  let lying = spare.reduce((sum, one) => sum + one.length, 0);
  while (lying > MOST) lying -= spare.shift()!.length;
}
