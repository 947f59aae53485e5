/** Numbers among the options of a call. */
import { CallFault, type Values } from "./reply.js";

/** @throws {CallFault} where the option is no whole number in its range */
export function whole(name: string, values: Values, least: number, most: number): number | undefined {
  const text = values[name];
  if (text === undefined) return undefined;
  const number = typeof text === "string" && /^\d{1,16}$/.test(text) ? Number(text) : NaN;
  if (number >= least && number <= most) return number;
  throw new CallFault(`--${name}: found ${text}, expected a whole number from ${least} to ${most}`);
}

/** @throws {CallFault} where the option is no number from 1 to the most */
export function factor(name: string, values: Values, most: number): number | undefined {
  const text = values[name];
  if (text === undefined) return undefined;
  const number = typeof text === "string" && /^\d{1,16}(\.\d{1,16})?$/.test(text) ? Number(text) : NaN;
  if (number >= 1 && number <= most) return number;
  throw new CallFault(`--${name}: found ${text}, expected a number from 1 to ${most}`);
}
