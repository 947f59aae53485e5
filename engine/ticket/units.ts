/**
 * Readings typed with a unit: "4810 mV" on an instrument that reads volts.
 */
import { create, unitDependencies } from "mathjs";

const math = create({ ...unitDependencies });

/**
 * The number of a reading in the catalog's unit, or null where the text is not a quantity of that kind.
 *
 * @param value  a number, taken in `unit`, or text such as "4810 mV"
 * @param unit   the catalog's unit, such as "V" or "degC"
 */
export function readingValue(value: number | string, unit: string): number | null {
  if (typeof value === "number") return Number.isFinite(value) ? value : null;
  if (/^\s*[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?\s*$/i.test(value)) return readingValue(Number(value), unit);
  if (!/^\s*[-+]?[\d.]/.test(value)) return null;
  try {
    const number = math.unit!(value).toNumber(unit);
    return Number.isFinite(number) ? number : null;
  } catch {
    return null;
  }
}
