/** What the lessons ask of their worker. Plain data only. */
import type { LinePoint } from "../../engine/practice/lesson/play.js";
import type { ControlValues, Lesson } from "../../engine/practice/lesson/schema.js";

export interface LessonQuestion {
  lesson: Lesson;
  values: ControlValues;
}

export interface LessonAnswer {
  figures: Record<string, number>;
  /** of each line chart, by its key */
  lines: Record<string, LinePoint[]>;
}

/** Names a line chart among those of a lesson. */
export const lineKey = (along: string, figures: readonly string[], held: ControlValues = {}): string =>
  JSON.stringify([along, figures, held]);
