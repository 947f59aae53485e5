/** The lines of a worksheet cell, each with what it gives. Pure. */
import type { Answer, Given } from "./calculator.js";
import { linesOf } from "./statements.js";

export interface Line {
  /** counted from 1 */
  number: number;
  text: string;
  /** null: a line that gives nothing, or one below a wrong line */
  given: Given | null;
}

export function answered(sheet: string, answer: Answer): Line[] {
  const given = new Map(answer.map((one) => [one.line, one]));
  return linesOf(sheet.trimEnd()).map((text, i) => ({
    number: i + 1,
    text,
    given: given.get(i + 1) ?? null,
  }));
}

/** What is wrong with the cell and not with a line of it, or null. */
export function wrongWithAll(answer: Answer): string | null {
  const [first] = answer;
  return first && "error" in first && first.line === null ? first.error : null;
}
