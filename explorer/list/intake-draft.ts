/** An intake that is being written, kept in the window until it is taken in: a reload loses nothing. */
import type { IntakeForm } from "./new-ticket.js";

export interface Draft {
  catalogId: string;
  form: IntakeForm;
}

const KEY = "intake";
/** Raised with the fields: a draft of an older page is not one of this. */
const VERSION = 1;

export function keptDraft(): Draft | null {
  try {
    const kept = JSON.parse(sessionStorage.getItem(KEY) ?? "null") as (Draft & { version: number }) | null;
    return kept?.version === VERSION ? kept : null;
  } catch {
    return null; // a window that keeps nothing
  }
}

/** @param draft  null: it has been taken in */
export function keepDraft(draft: Draft | null): void {
  try {
    if (draft) sessionStorage.setItem(KEY, JSON.stringify({ ...draft, version: VERSION }));
    else sessionStorage.removeItem(KEY);
  } catch {
    // a window that keeps nothing
  }
}
