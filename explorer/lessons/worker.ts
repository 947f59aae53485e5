/** The worker of the lessons: weighs what the page shows. */
import "../strict.js";
import { Player } from "../../engine/practice/lesson/play.js";
import { answering } from "../store/caller.js";
import { lineKey, type LessonAnswer, type LessonQuestion } from "./messages.js";

let player: Player | null = null;

answering(({ lesson, values }: LessonQuestion): LessonAnswer => {
  if (player?.lesson.id !== lesson.id) player = new Player(lesson);
  const playing = player;
  const lines: LessonAnswer["lines"] = {};
  for (const part of lesson.parts) {
    if (!("chart" in part) || part.chart !== "line") continue;
    for (const { along, figures, with: held } of part.and ? [part, part.and] : [part])
      lines[lineKey(along, figures, held)] = playing.line(along, figures, { ...values, ...held });
  }
  return { figures: playing.all(values), lines };
});
