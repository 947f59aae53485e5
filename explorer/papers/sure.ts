/** Chances in words that need no schooling. Pure. */

/** 0.917 → "about 92 in 100"; never "0" or "100 in 100" for what is only near it. */
export function inHundred(p: number): string {
  if (p < 0.005) return "less than 1 in 100";
  if (p > 0.995) return "more than 99 in 100";
  return `about ${Math.round(100 * p)} in 100`;
}

/** How sure somebody who thinks this likely would say they are. */
export function surely(p: number): string {
  if (p >= 0.95) return "almost certainly";
  if (p >= 0.8) return "very probably";
  if (p >= 0.5) return "probably";
  return "possibly";
}
