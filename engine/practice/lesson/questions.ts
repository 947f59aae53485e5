/** Questions of a lesson: what is right follows from its figures. Pure. */
import type { LessonPart } from "./schema.js";

export type LessonQuestion = Extract<LessonPart, { ask: string }>;

/** An equal figure is equal to this share: the engine's own accuracy. */
const SAME = 1e-9;

/** The answers that can be chosen; none where a number is guessed. */
export function choicesOf(question: LessonQuestion): string[] {
  if ("guess" in question) return [];
  if ("compare" in question) {
    const { less, same, more } = question.choices;
    return [less, same, more];
  }
  return question.choices.map((choice) => choice.text);
}

/** Indexes of the right choices: of several whose figures are equal each is right; none where a number is guessed. */
export function rightChoices(question: LessonQuestion, figures: Record<string, number>): number[] {
  if ("guess" in question) return [];
  if ("compare" in question) {
    const [x, y] = question.compare.map((id) => figures[id]!) as [number, number];
    return [areSame(x, y) ? 1 : x < y ? 0 : 2];
  }
  const values = question.choices.map((choice) => figures[choice.figure]!);
  const best = question.right === "largest" ? Math.max(...values) : Math.min(...values);
  return [...values.keys()].filter((k) => areSame(values[k]!, best));
}

/** The same to the engine's accuracy; more than anybody would make is the same as itself. */
const areSame = (x: number, y: number) =>
  x === y || Math.abs(x - y) <= SAME * Math.max(Math.abs(x), Math.abs(y));

/**
 * @param answer  the index chosen, or the number guessed
 * @returns whether it is right: a guess may be off by its `within`, of shares as they are, of counts in proportion
 */
export function isRight(question: LessonQuestion, answer: number, figures: Record<string, number>): boolean {
  if (!("guess" in question)) return rightChoices(question, figures).includes(answer);
  const right = figures[question.guess]!;
  const room = right > 1 ? question.within * right : question.within;
  return Math.abs(answer - right) <= room + 1e-12;
}
