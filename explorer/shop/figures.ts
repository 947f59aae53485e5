/** The shop's figures between their fields and its settings, which hold a share where a field shows per cent. Pure. */
import { issue } from "../../engine/issue.js";
import type { Issue } from "../../engine/weighing.js";
import { decimalIn } from "../decimal.js";

export interface Figure {
  label: string;
  /** what 1 is in the field */
  scale: number;
}

/** @returns value null: nothing is typed, and the catalog decides */
export function figureIn(
  text: string,
  { label, scale }: Figure,
): { value: number | null } | { issue: Issue } {
  const typed = decimalIn(text);
  if (typed === null)
    return {
      issue: issue(label, text.trim(), "a number such as 42.50 or 42,50, without marks for thousands"),
    };
  return { value: typed === undefined ? null : typed / scale };
}

/** As many digits as anybody types: 0.07 times 100 is a little more than 7. */
export const figureOut = (value: number | null, { scale }: Figure): string =>
  value === null ? "" : String(Number((value * scale).toPrecision(12)));
