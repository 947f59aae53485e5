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

/** Index of the right choice, or the number to be guessed. */
export function rightAnswer(question: LessonQuestion, figures: Record<string, number>): number {
  if ("guess" in question) return figures[question.guess]!;
  if ("compare" in question) {
    const [x, y] = question.compare.map((id) => figures[id]!) as [number, number];
    return Math.abs(x - y) <= SAME * Math.max(Math.abs(x), Math.abs(y)) ? 1 : x < y ? 0 : 2;
  }
  const values = question.choices.map((choice) => figures[choice.figure]!);
  const best = question.right === "largest" ? Math.max(...values) : Math.min(...values);
  return values.indexOf(best);
}

/**
 * @param answer  the index chosen, or the number guessed
 * @returns whether it is right: a guess may be off by its `within`, of shares as they are, of counts in proportion
 */
export function isRight(question: LessonQuestion, answer: number, figures: Record<string, number>): boolean {
  const right = rightAnswer(question, figures);
  if (!("guess" in question)) return answer === right;
  const room = right > 1 ? question.within * right : question.within;
  return Math.abs(answer - right) <= room + 1e-12;
}
