/** A fault in a file, a form or a text, in one sentence. */
import type { Issue } from "./weighing.js";

export const issue = (path: string, found: string, expected: string): Issue => ({
  path,
  found,
  expected,
  message: `${path || "file"}: found ${found}, expected ${expected}`,
});
