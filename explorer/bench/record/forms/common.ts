/** What every entry has besides its own. Pure. */
import type { Draft } from "../../ticket-edits.js";

export interface Common {
  at: string | undefined;
  minutes: number | undefined;
  note: string | undefined;
  photos?: string[] | undefined;
}

/** The kind's own fields with the common ones; empty ones are left out. */
export function withCommon(fields: Draft, { at, minutes, note, photos }: Common): Draft {
  const {
    at: _at,
    minutes: _minutes,
    note: _note,
    photos: _photos,
    ...own
  } = fields as Draft & Record<string, unknown>;
  return {
    ...own,
    ...(at !== undefined && { at }),
    ...(minutes !== undefined && { minutes }),
    ...(note !== undefined && note !== "" && { note }),
    ...(photos !== undefined && photos.length > 0 && { photos }),
  } as Draft;
}

/** A number typed by a person, or the text as it stands where it is none ("4810 mV"). */
export function typed(text: string): number | string {
  const plain = text.trim().replace(",", ".");
  return plain !== "" && Number.isFinite(Number(plain)) ? Number(plain) : text.trim();
}

/** ISO 8601 ↔ what a date field shows, in local time, to the minute. */
export function toLocal(at: string | undefined): string {
  const date = new Date(at ?? "");
  if (Number.isNaN(date.getTime())) return "";
  return new Date(date.getTime() - date.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
}
export const fromLocal = (text: string): string | undefined =>
  text === "" ? undefined : new Date(text).toISOString();
