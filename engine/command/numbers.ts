/** Numbers among the options of a call. */
import { CallFault, type Values } from "./reply.js";

interface Kind {
  form: RegExp;
  words: string;
}

const WHOLE: Kind = { form: /^\d{1,16}$/, words: "a whole number" };
const FACTOR: Kind = { form: /^\d{1,16}(\.\d{1,16})?$/, words: "a number" };

/** @throws {CallFault} where the option is no whole number in its range */
export const whole = (name: string, values: Values, least: number, most: number): number | undefined =>
  numberOf(WHOLE, name, values, least, most);

/** @throws {CallFault} where the option is no number from 1 to the most */
export const factor = (name: string, values: Values, most: number): number | undefined =>
  numberOf(FACTOR, name, values, 1, most);

function numberOf(
  { form, words }: Kind,
  name: string,
  values: Values,
  least: number,
  most: number,
): number | undefined {
  const text = values[name];
  if (text === undefined) return undefined;
  const number = typeof text === "string" && form.test(text) ? Number(text) : NaN;
  if (number >= least && number <= most) return number;
  throw new CallFault(`--${name}: found ${text}, expected ${words} from ${least} to ${most}`);
}
