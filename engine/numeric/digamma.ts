/**
 * ψ(x) = d ln Γ(x)/dx for x > 0: the recurrence ψ(x) = ψ(x + 1) − 1/x up to x ≥ 10, then the asymptotic series.
 * Source: Abramowitz & Stegun 6.3.5 and 6.3.18; the first term left out is below 1e-16 there.
 */
export function digamma(x: number): number {
  let shift = 0;
  let y = x;
  for (; y < 10; y++) shift -= 1 / y;
  const z = 1 / (y * y);
  const series =
    z * (1 / 12 - z * (1 / 120 - z * (1 / 252 - z * (1 / 240 - z * (1 / 132 - z * (691 / 32760 - z / 12))))));
  return shift + Math.log(y) - 0.5 / y - series;
}
