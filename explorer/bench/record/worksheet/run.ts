/** The cells of a record in order: what one defines, those after it know. Pure. */
import { calculate, type Answer, type Scope } from "./calculator.js";
import type { Cell } from "./facts.js";
import { name } from "./names.js";

export function runCells(cells: readonly Cell[], answer: (id: string, answer: Answer) => void): void {
  const own: Scope = new Map();
  for (const { id, expression, facts } of cells) {
    if (!facts) {
      answer(id, [{ line: null, error: "the record is not weighed" }]);
      continue;
    }
    const told: Scope = new Map();
    name(facts, told);
    const scope: Scope = new Map([...told, ...own]);
    answer(id, calculate(expression, scope, told));
    for (const [key, value] of scope) if (!told.has(key)) own.set(key, value);
  }
}
