/** Where a lesson waits for an answer. Pure. */
import type { LessonPart } from "../../engine/practice/lesson/schema.js";

export interface OpenQuestion {
  /** its place among the parts */
  at: number;
  asksFor: "a guess" | "an answer";
}

/**
 * The first question from part `past` on, unless nothing follows it: what follows a question, a chart of the very figures
 * that it asks about as a rule, would give the answer away.
 */
export function openQuestion(parts: readonly LessonPart[], past: number): OpenQuestion | null {
  const at = parts.findIndex((part, k) => k >= past && "ask" in part);
  const question = parts[at];
  if (!question || at === parts.length - 1) return null;
  return { at, asksFor: "guess" in question ? "a guess" : "an answer" };
}
