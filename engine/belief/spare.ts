/**
 * Arrays of weights that nobody reads any more, to be filled again: of a fresh one of millions of numbers the system has
 * to map every page first, which takes ten times as long as what is written there.
 */

/** Numbers that lie ready at most, 8 bytes each. */
const MOST = 1.5e7;

let spare: Float64Array[] = [];

/**
 * @param room  numbers to set aside where there is none ready, so that a longer one may be filled in its place later
 * @returns an array of this length, with anything in it
 */
export function taken(length: number, room = length): Float64Array {
  const fits = (one: Float64Array) => one.length >= length && one.length <= 2 * length;
  const best = spare.filter(fits).sort((x, y) => x.length - y.length)[0];
  if (!best) return new Float64Array(room).subarray(0, length);
  spare = spare.filter((one) => one !== best);
  return best.subarray(0, length);
}

/** @param values  as they were taken; they will be written over */
export function letGo(values: Float64Array): void {
  spare.push(new Float64Array(values.buffer));
  let lying = spare.reduce((sum, one) => sum + one.length, 0);
  while (lying > MOST) lying -= spare.shift()!.length;
}
