/** The shop's figures between their fields and its settings, which hold a share where a field shows per cent. Pure. */
import { issue } from "../../engine/issue.js";
import type { Issue } from "../../engine/weighing.js";
import { decimalIn } from "../decimal.js";
import { RANGES, type ShopFigure } from "../store/shop.js";

export interface Figure {
  key: ShopFigure;
  label: string;
  /** what 1 is in the field; 100: per cent, whose sign may be typed too */
  scale: 1 | 100;
}

/** @returns value null: nothing is typed, and the catalog decides; what is wrong is said in the field's own figures */
export function figureIn(
  text: string,
  { key, label, scale }: Figure,
): { value: number | null } | { issue: Issue } {
  const typed = text.trim();
  const number = decimalIn(scale === 100 ? typed.replace(/(?<=[\d.,])\s*%$/, "") : typed);
  if (number === undefined) return { value: null };
  const [least, most] = RANGES[key];
  if (number === null)
    return { issue: issue(label, typed, "a number such as 42.50 or 42,50, without marks for thousands") };
  if (!(number >= least * scale && number <= most * scale))
    return { issue: issue(label, typed, `a number from ${least * scale} to ${most * scale}`) };
  return { value: number / scale };
}

/** What was typed that cannot stand, and why, by the figure that it was typed for. */
export type Refused = ReadonlyMap<ShopFigure, { text: string; issue: Issue }>;

/** @param issue  null: what stands in the field now is right, or nothing does */
export function withField(refused: Refused, key: ShopFigure, text: string, issue: Issue | null): Refused {
  const others = [...refused].filter(([other]) => other !== key);
  return new Map(issue === null ? others : [...others, [key, { text, issue }]]);
}

/** In the order of the fields, whichever was typed first. */
export const refusedIssues = (refused: Refused, fields: readonly Pick<Figure, "key">[]): Issue[] =>
  fields.flatMap(({ key }) => refused.get(key)?.issue ?? []);

/** As many digits as anybody types: 0.07 times 100 is a little more than 7. */
export const figureOut = (value: number | null, { scale }: Pick<Figure, "scale">): string =>
  value === null ? "" : String(Number((value * scale).toPrecision(12)));
