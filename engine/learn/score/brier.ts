/**
 * Forecasts of yes or no against what happened: the Brier score and what it is made of.
 *
 *   Brier = reliability − resolution + uncertainty + within
 *
 * over bins of forecasts (Murphy 1973, J. Appl. Meteor. 12); `within` is what bins of different forecasts leave over
 * (Stephenson et al. 2008), 0 where each bin holds one forecast.
 */
export interface Bin {
  /** number of forecasts, their sum and their sum of squares */
  n: number;
  sum: number;
  squares: number;
  /** how often it happened, and Σ forecast over those */
  happened: number;
  sumHappened: number;
}

export const emptyBin = (): Bin => ({ n: 0, sum: 0, squares: 0, happened: 0, sumHappened: 0 });

export function addForecast(bin: Bin, forecast: number, happened: boolean, weight = 1): void {
  bin.n += weight;
  bin.sum += weight * forecast;
  bin.squares += weight * forecast * forecast;
  if (!happened) return;
  bin.happened += weight;
  bin.sumHappened += weight * forecast;
}

export interface BrierParts {
  brier: number;
  reliability: number;
  resolution: number;
  uncertainty: number;
  within: number;
  /** 1 − Brier / uncertainty; null where everything or nothing happened */
  skill: number | null;
}

export function brierParts(bins: readonly Bin[]): BrierParts {
  const used = bins.filter((b) => b.n > 0);
  const n = used.reduce((sum, b) => sum + b.n, 0);
  const base = used.reduce((sum, b) => sum + b.happened, 0) / n;
  const mean = (f: (b: Bin) => number) => used.reduce((sum, b) => sum + f(b), 0) / n;
  const brier = mean((b) => b.squares - 2 * b.sumHappened + b.happened);
  const reliability = mean((b) => b.n * (b.sum / b.n - b.happened / b.n) ** 2);
  const resolution = mean((b) => b.n * (b.happened / b.n - base) ** 2);
  const uncertainty = base * (1 - base);
  const within = brier - (reliability - resolution + uncertainty);
  return {
    brier,
    reliability,
    resolution,
    uncertainty,
    within,
    skill: uncertainty > 0 ? 1 - brier / uncertainty : null,
  };
}

/** Share of k in n with its interval: Wilson 1927. @param z  1.645 for 90 % */
export function wilson(k: number, n: number, z: number): { low: number; high: number } {
  const p = k / n;
  const centre = (p + z ** 2 / (2 * n)) / (1 + z ** 2 / n);
  const half = (z / (1 + z ** 2 / n)) * Math.sqrt((p * (1 - p)) / n + z ** 2 / (4 * n ** 2));
  return { low: Math.max(0, centre - half), high: Math.min(1, centre + half) };
}
