/** Tickets and catalogs as files: text out, text in. Nothing is mended on the way in. */
import type { Ticket } from "../../engine/ticket/schema.js";
import { parseText } from "../../engine/ticket/lines.js";
import { issue } from "../../engine/issue.js";
import type { Issue } from "../../engine/weighing.js";
import { isObject } from "./plain.js";

export const fileText = (ticket: Ticket): string => JSON.stringify(ticket, null, 2) + "\n";

/** What a file holds as data, or what is wrong and where, for somebody who may have taken the wrong file. */
export function readJson(text: string): { data: unknown } | { issues: Issue[] } {
  const parsed = text.trimStart().startsWith("{")
    ? parseText(text)
    : { issues: [issue("file", gist(text), WANTED)] };
  if ("data" in parsed) return parsed;
  const whole = ({ path, found, expected }: Issue) =>
    issue(path, found, path === "file" ? expected : `${expected}, in a file that is whole`);
  return { issues: parsed.issues.map(whole) };
}

/** Whether data says of itself that it is a kind of machine, whatever else may be wrong with it. */
export const isCatalog = (data: unknown): boolean =>
  isObject(data) && /^fitful\/catalog@/.test(String(data["format"]));

const WANTED = "a ticket or a catalog: a text that begins with {";

/** What a text is, where it is neither: its beginning, or that there is nothing to read. */
function gist(text: string): string {
  const begin = text.trim().slice(0, 30);
  if (begin === "") return "an empty file";
  return /[^\P{C}\s]|\uFFFD/u.test(begin)
    ? "something that is no text"
    : `a text that begins with “${begin}”`;
}

export const saveFile = (name: string, text: string, type = "application/json"): void =>
  saveBlob(name, new Blob([text], { type }));

/** Hands a file to the browser's download. */
export function saveBlob(name: string, blob: Blob): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
}
