/** Where a release stands in a record. Pure. */
import type { EntryOf, Ticket } from "../../../engine/ticket/schema.js";

export interface Released {
  release: EntryOf<"release">;
  /** nothing but notes stands after it */
  isLast: boolean;
}

/** The last release of a record; null: the machine was never released. */
export function releasedIn({ entries }: Ticket): Released | null {
  const release = entries.findLast((entry) => entry.kind === "release");
  const last = entries.findLast((entry) => entry.kind !== "note");
  return release ? { release, isLast: release === last } : null;
}
