/** Figures in words, and texts with their figures put in. Pure. */
import type { ControlValues, Lesson, LessonFigure } from "../../engine/practice/lesson/schema.js";
import { money, percent } from "../bench/format.js";

export function said({ say }: Pick<LessonFigure, "say">, value: number): string {
  if (value === Infinity) return "more than anybody would make";
  switch (say) {
    case "percent":
      return percent(value);
    case "count":
      return String(Math.round(value));
    case "times":
      return `${value.toPrecision(3)} to one`;
    case "decibans":
      return Math.abs(value) < 0.05
        ? "nothing to speak of"
        : `${Math.abs(value).toFixed(1)} decibans ${value < 0 ? "against" : "for"} it`;
    case "money":
      return money(value);
  }
}

export type Piece = { text: string; live: boolean };

/** A text in pieces: what is said for ever, and what the engine and the controls say now. @param more  other names */
export function pieces(
  text: string,
  lesson: Lesson,
  values: ControlValues,
  figures: Record<string, number>,
  more: Record<string, string> = {},
): Piece[] {
  return text
    .split(/(\{[^}]*\})/)
    .filter((piece) => piece !== "")
    .map((piece) => {
      if (!piece.startsWith("{")) return { text: piece, live: false };
      const id = piece.slice(1, -1);
      const figure = lesson.figures.find((f) => f.id === id);
      if (figure) return { text: said(figure, figures[id]!), live: true };
      if (Object.hasOwn(values, id)) return { text: String(values[id]), live: true };
      return { text: more[id] ?? piece, live: true };
    });
}
