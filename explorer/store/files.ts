/** Tickets as files: text out, text in. Nothing is mended on the way in. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";

export const fileText = (ticket: Ticket): string => JSON.stringify(ticket, null, 2) + "\n";

/** JSON of a file, or what is wrong with it and where. */
export function readJson(text: string): { data: unknown } | { issues: Issue[] } {
  try {
    return { data: JSON.parse(text) };
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    const expected = "a ticket file (JSON)";
    return {
      issues: [{ path: "file", found, expected, message: `file: found ${found}, expected ${expected}` }],
    };
  }
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
