/** What every answer of a test would do, as rows to draw. Pure. */
import type { AnswerView, Weighing } from "../../engine/weighing.js";
import { movedMost, NONE, UNLISTED } from "./rows.js";

export interface AnswerRow {
  id: string;
  answer: string;
  chance: number;
  /** null in the row that names the answer */
  effect: { cause: string; name: string; group: string; before: number; after: number } | null;
}

/** For each answer a row that names it, and one for each cause that it moves most. */
export function answerRows(
  answers: readonly AnswerView[],
  { causes }: Pick<Weighing, "causes">,
): AnswerRow[] {
  const known = new Map(causes.map((cause) => [cause.id, cause]));
  const nameOf = (id: string) =>
    known.get(id)?.name ?? { [NONE]: "Nothing wrong", [UNLISTED]: "Not on the list" }[id] ?? id;
  return answers.flatMap(({ text, chance, effects }, k) => {
    const head: AnswerRow = { id: `${k}`, answer: text, chance, effect: null };
    const moved = movedMost(effects).map(({ cause, before, after }): AnswerRow => {
      const group = known.get(cause)?.group ?? cause;
      return { ...head, id: `${k} ${cause}`, effect: { cause, name: nameOf(cause), group, before, after } };
    });
    return [head, ...moved];
  });
}
