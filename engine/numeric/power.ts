/** x^n for x ≥ 0: whole and half exponents, which nearly all are, by multiplication. */
export function power(x: number, n: number): number {
  const twice = 2 * n;
  if (twice > LONGEST || twice !== Math.floor(twice)) return Math.pow(x, n);
  let result = twice % 2 === 1 ? Math.sqrt(x) : 1;
  let square = x;
  for (let left = Math.floor(n); left > 0; left >>= 1) {
    if (left & 1) result *= square;
    square *= square;
  }
  return result;
}

/** Beyond, the rounding of repeated squares would be worse than that of a logarithm. */
const LONGEST = 64;
