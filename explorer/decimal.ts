/** Numbers as people type them: 2.5 or 2,5, without marks for thousands. */

/** @returns undefined where nothing is typed, null where it is no such number */
export function decimalIn(text: string): number | null | undefined {
  const plain = text.trim();
  if (plain === "") return undefined;
  return /^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)$/.test(plain) ? Number(plain.replace(",", ".")) : null;
}

/** What is wrong with it, in words; "" where nothing is. */
export function decimalFault(text: string, min: number, max: number, required: boolean): string {
  const value = decimalIn(text);
  const range = max === Infinity ? `of at least ${min}` : `from ${min} to ${max}`;
  if (value === undefined) return required ? `found nothing, expected a number ${range}` : "";
  if (value === null) return `found ${text.trim()}, expected a number such as 2.5 or 2,5`;
  return value < min || value > max ? `found ${text.trim()}, expected a number ${range}` : "";
}
