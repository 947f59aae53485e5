/** Figures as a person reads them. */

/** 0.684 → "68 %"; never "0 %" or "100 %" for what is only near it */
export function percent(p: number): string {
  if (p > 0 && p < 0.005) return "<1 %";
  if (p < 1 && p >= 0.995) return ">99 %";
  return `${Math.round(100 * p)} %`;
}

/** "55–79 %", or nothing where no redraws were asked for */
export function range(low: number | null, high: number | null): string {
  if (low === null || high === null) return "";
  return high < 0.005 ? percent(high) : `${Math.round(100 * low)}–${percent(high)}`;
}

/** 8.43 → "8.4", with a true minus sign and never a minus nought */
export function oneDigit(value: number): string {
  const digits = Math.abs(value).toFixed(1);
  return value < 0 && digits !== "0.0" ? `−${digits}` : digits;
}

/** 8.43 → "+8.4" */
export const signed = (value: number): string => (value >= 0.05 ? `+${oneDigit(value)}` : oneDigit(value));

/** two digits that mean something: 0.0321 → "0.032", 22.4 → "22" */
export const rough = (value: number): string =>
  value === 0 ? "0" : value >= 10 ? String(Math.round(value)) : String(Number(value.toPrecision(2)));

/** 0.33 → "1 start in 3" */
export function howOften(rate: number): string {
  if (rate >= 0.95) return "every start";
  if (rate > 0.55) return `${Math.round(10 * rate)} starts in 10`;
  return rate < 0.005 ? "under 1 in 200" : `1 start in ${Math.round(1 / rate)}`;
}
