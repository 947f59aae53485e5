/** Means and their intervals: apart from what they are of, so that a page can add up without the engine. */

/** 95 %: normal for a mean, Poisson for a count never seen, Wilson for a share, paired bootstrap for a ratio. */
export interface Interval {
  value: number;
  low: number;
  high: number;
}

export const mean = (values: readonly number[]): number =>
  values.reduce((sum, x) => sum + x, 0) / values.length;

/** 97.5 % of the standard normal */
export const Z = 1.959963984540054;

/** A mean with the interval that the normal law gives it. */
export function normalInterval(values: readonly number[]): Interval {
  const value = mean(values);
  const variance = values.reduce((sum, x) => sum + (x - value) ** 2, 0) / Math.max(1, values.length - 1);
  const half = Z * Math.sqrt(variance / values.length);
  return { value, low: value - half, high: value + half };
}
