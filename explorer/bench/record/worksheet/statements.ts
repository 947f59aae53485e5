/**
 * A sheet cut into statements: each a line, or several where one leaves a bracket, a text or an operator open, as mathjs
 * reads them. Pure.
 */
import type { MathNode } from "mathjs";

/** `line` is the last that it stands on, counted from 1. */
export type Statement = { line: number } & ({ node: MathNode } | { fault: unknown });

export const linesOf = (sheet: string): string[] => sheet.split(/\r?\n/);

export function statementsOf(sheet: string, parse: (text: string) => MathNode): Statement[] {
  const lines = linesOf(sheet);
  const found: Statement[] = [];
  for (let from = 0; from < lines.length; from = found.at(-1)!.line)
    found.push(statementAt(lines, from, parse));
  return found;
}

/** Where the lines below do not complete a line, the fault is its own: an operand or a bracket was forgotten there. */
function statementAt(lines: readonly string[], from: number, parse: (text: string) => MathNode): Statement {
  let own: unknown;
  for (let to = from + 1; to <= lines.length; to++) {
    const text = lines.slice(from, to).join("\n");
    try {
      return { line: to, node: parse(text) };
    } catch (fault) {
      own ??= fault;
      if (!endsTooSoon(fault, text)) break;
    }
  }
  return { line: from + 1, fault: own };
}

/** Whether mathjs came to the end of a text (counted from 1) and wanted more. */
const endsTooSoon = (fault: unknown, text: string): boolean =>
  fault instanceof Error && "char" in fault && Number(fault.char) > text.length;
