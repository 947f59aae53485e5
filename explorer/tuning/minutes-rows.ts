/** What tuning saved, as a person reads it. Pure. */
import type { MinutesView } from "../../engine/learn/score/saved.js";
import type { Interval } from "../../engine/practice/interval.js";
import type { Paired } from "../../engine/practice/pairedFigures.js";
import { money, percent } from "../bench/format.js";

export interface MinutesRow {
  name: string;
  before: string;
  after: string;
  difference: string;
  /** "−5.2 to −1.0" */
  range: string;
}

export function minutesRows({ minutes, total, right }: MinutesView): MinutesRow[] {
  return [
    rowOf("Minutes of labour", minutes, tenths),
    rowOf("Cost to the end, comebacks included", total, money),
    rowOf("Right cause named", right, percent),
  ];
}

function rowOf(name: string, { before, after, difference }: Paired, say: (x: number) => string): MinutesRow {
  const { value, low, high } = difference;
  return {
    name,
    before: say(before),
    after: say(after),
    difference: signed(value, say),
    range: `${signed(low, say)} to ${signed(high, say)}`,
  };
}

const tenths = (x: number): string => x.toFixed(1);
const signed = (x: number, say: (x: number) => string): string => `${x < 0 ? "−" : "+"}${say(Math.abs(x))}`;

export interface MinutesVerdict {
  said: string;
  /** null where it cannot be told */
  saves: boolean | null;
}

/** By minutes, as the verdict on the scores is by bits: more than luck only where the interval leaves out 0. */
export function minutesVerdict({ tickets, minutes: { difference } }: MinutesView): MinutesVerdict {
  const { value, low, high } = difference;
  const on = `a ticket on ${tickets} machines`;
  if (high < 0) return { said: `It saves minutes: ${within(difference, -1)} ${on}.`, saves: true };
  if (low > 0) return { said: `It takes longer: ${within(difference, 1)} minutes more ${on}.`, saves: false };
  const by = `${signed(value, tenths)} (${signed(low, tenths)} to ${signed(high, tenths)})`;
  return { said: `It cannot be told to save minutes: ${by} ${on}.`, saves: null };
}

/** The smaller end first, without a sign. */
function within({ value, low, high }: Interval, sign: 1 | -1): string {
  const [from, to] = sign > 0 ? [low, high] : [-high, -low];
  return `${tenths(sign * value)} (${tenths(from)} to ${tenths(to)})`;
}
