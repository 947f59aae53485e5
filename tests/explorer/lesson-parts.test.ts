import { expect, test } from "vitest";
import type { LessonPart } from "../../engine/practice/lesson/schema.js";
import { openQuestion } from "../../explorer/lessons/open-question.js";
import { LESSONS } from "../../explorer/lessons/lessons.js";

const text: LessonPart = { text: "It stops." };
const chart: LessonPart = { chart: "bars", figures: ["a"], title: "a" };
const guess: LessonPart = { ask: "How likely?", guess: "a", within: 0.1, because: "so" };
const choice: LessonPart = {
  ask: "Which?",
  choices: [
    { text: "A", figure: "a" },
    { text: "B", figure: "b" },
  ],
  right: "largest",
  because: "so",
};

test("a lesson waits at each question, a guess or a choice, that something follows", () => {
  const parts = [text, choice, chart, guess, chart, choice];
  expect([0, 1, 2, 3, 4, 6].map((past) => openQuestion(parts, past))).toEqual([
    { at: 1, asksFor: "an answer" },
    { at: 1, asksFor: "an answer" },
    { at: 3, asksFor: "a guess" },
    { at: 3, asksFor: "a guess" },
    null,
    null,
  ]);
  expect(openQuestion([text, chart], 0)).toBe(null);
});

test("no lesson shows a chart before its first question is answered", () => {
  for (const { id, parts } of LESSONS) {
    const shown = parts.slice(0, openQuestion(parts, 0)!.at + 1);
    expect([id, shown.filter((part) => "chart" in part)]).toEqual([id, []]);
  }
});
