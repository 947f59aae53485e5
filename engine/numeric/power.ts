/** x^n for x ≥ 0, the common exponents without a logarithm. */
export function power(x: number, n: number): number {
  if (n === 1) return x;
  if (n === 2) return x * x;
  if (n === 0.5) return Math.sqrt(x);
  if (n === 3) return x * x * x;
  return Math.pow(x, n);
}
