/** What a step did beside what it was made for, in a sentence; "" where that is nothing. Pure. */
import type { Ticket } from "../../engine/ticket/schema.js";
import { parkingOf, WAITS } from "./record/parking.js";
import { releasedIn } from "./record/release.js";

export function besides(before: Ticket, after: Ticket): string {
  if (before.entries === after.entries) return ""; // parked or taken back by hand
  const [was, is] = [parkingOf(before), parkingOf(after)];
  const [released, stands] = [releasedIn(before), releasedIn(after)];
  if (!was && is) return `Parked again, waiting for ${WAITS[is.for]}.`;
  if (released?.isLast && stands?.isLast === false)
    return "This stands after the release: the record goes on, and the release is no longer its last word.";
  if (was && !is && !stands?.isLast)
    return `Back on the bench: it was parked, waiting for ${WAITS[was.for]}. Undo parks it again.`;
  return "";
}
