/**
 * A ticket that has photographs is saved in lines of JSON, as a backup is: what follows, the ticket, the photographs. Here
 * the ticket is read from such a text, and any other text as the JSON it is.
 */
import { parseJson } from "../json.js";
import type { Issue } from "../weighing.js";
import { issue } from "../issue.js";

/** Whether a text begins as such lines do, and not as a ticket. */
export const isLines = (text: string): boolean => /^\s*\{\s*"format"\s*:\s*"fitful\/backup@/.test(text);

export function parseText(text: string): { data: unknown } | { issues: Issue[] } {
  if (!isLines(text)) return parseJson(text);
  const lines = text.split("\n");
  const places = lines.flatMap((line, k) => (line.startsWith('{"kind":"ticket"') ? [k] : []));
  if (places.length !== 1)
    return {
      issues: [issue("file", `a backup of ${places.length} tickets`, "a ticket, or a backup of one")],
    };
  const [place] = places as [number];
  const parsed = parseJson("\n".repeat(place) + lines[place]!);
  return "issues" in parsed ? parsed : { data: (parsed.data as { ticket?: unknown }).ticket };
}
