/** The lessons that come with the program, in the order of their files' numbers. */
import type { Lesson } from "../../engine/practice/lesson/schema.js";

const files = import.meta.glob<Lesson>("../../scenarios/lessons/*.json", { eager: true, import: "default" });

export const LESSONS: readonly Lesson[] = Object.entries(files)
  .sort(([x], [y]) => x.localeCompare(y, "en"))
  .map(([, lesson]) => lesson);
