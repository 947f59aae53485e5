/**
 * A dense rule over the manifestation rate, written apart from the engine's: double exponential in y = −ln r.
 *
 * With r = e^−y the Beta weight becomes r^a (1 − r)^(b−1) dy on the half line, which decays like e^−ay; the substitution
 * y = exp(t − e^−t) (Takahasi & Mori 1974, for such integrands) makes it die off doubly exponentially at y → 0, where
 * 1 − r = −expm1(−y) is exact, so a plain sum in t converges geometrically. `dense.ts` halves the step until nothing moves.
 */
export interface RateNode {
  r: number;
  /** 1 − r, exact near 1 */
  rest: number;
  /** ln(1 − r), exact near 0 and near 1 */
  logRest: number;
  logWeight: number;
}

export type Intermittent = { hard: number; a: number; b: number } | { fixed: number };

/** ln Γ(x), x > 0: Stirling's series after lifting x to 16, where eight terms reach the last digit. */
export function logGamma(x: number): number {
  let lifted = 1;
  let z = x;
  while (z < 16) lifted *= z++;
  const series = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156, -3617 / 122400];
  let sum = 0;
  for (let k = series.length - 1; k >= 0; k--) sum = sum / (z * z) + series[k]!;
  return (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + sum / z - Math.log(lifted);
}

export const logBeta = (a: number, b: number): number => logGamma(a) + logGamma(b) - logGamma(a + b);

/** Only this part of the distribution of r: up to a rate, or the hard part alone. */
export type Part = { upTo: number } | "hard" | "all";

/**
 * @param step  distance of the nodes in t
 * @param drop  nodes lighter than e^drop are left out; `dense.ts` checks that they could not matter
 */
export function rateNodes(model: Intermittent, step: number, drop: number, part: Part = "all"): RateNode[] {
  const top = part === "all" || part === "hard" ? 1 : part.upTo;
  if ("fixed" in model) return model.fixed <= top ? [nodeAt(model.fixed, 0)] : [];
  const hard = model.hard > 0 && top >= 1 ? [nodeAt(1, Math.log(model.hard))] : [];
  if (part === "hard" || model.hard === 1) return hard;
  return [...softNodes(model.a, model.b, Math.log1p(-model.hard), top, step, drop), ...hard];
}

const nodeAt = (r: number, logWeight: number): RateNode => ({
  r,
  rest: 1 - r,
  logRest: Math.log1p(-r),
  logWeight,
});

function softNodes(
  a: number,
  b: number,
  logShare: number,
  top: number,
  step: number,
  drop: number,
): RateNode[] {
  const from = top >= 1 ? 0 : -Math.log(top);
  const constant = logShare - logBeta(a, b) + Math.log(step);
  const nodes: RateNode[] = [];
  for (let k = Math.floor(-8 / step); k * step < 12; k++) {
    const t = k * step;
    const logOver = t - Math.exp(-t); // ln(y − from)
    const y = from + Math.exp(logOver);
    const rest = -Math.expm1(-y);
    const logRest =
      y > 0.7 ? Math.log1p(-Math.exp(-y)) : from === 0 && logOver < -700 ? logOver : Math.log(rest);
    const logWeight = constant - a * y + (b - 1) * logRest + logOver + Math.log1p(Math.exp(-t));
    if (logWeight > drop) nodes.push({ r: Math.exp(-y), rest, logRest, logWeight });
  }
  return nodes;
}
