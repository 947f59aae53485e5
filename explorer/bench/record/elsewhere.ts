/** A suspect part in another machine, and home again. Pure. */
import type { Catalog } from "../../../engine/catalog/schema.js";
import type { EntryOf, Ticket } from "../../../engine/ticket/schema.js";
import { changeBetween, OWN, type Setup } from "../../../engine/ticket/setup.js";
import { addDonor, append } from "../ticket-edits.js";

interface Trip {
  part: string;
  position: string;
  /** id of a machine at hand, or null: a new one of this name */
  donor: string | null;
  name: string;
}

/** The part put into the other machine; starts are made there until it comes home. */
export function takeElsewhere(ticket: Ticket, { part, position, donor, name }: Trip, at: string): Ticket {
  const known = donor === null ? addDonor(ticket, name) : ticket;
  const place = donor ?? known.machine.donors!.at(-1)!.id;
  return append(known, { kind: "change", at, in: place, fit: { [position]: part } });
}

/** What brings the ticket's own machine back as it was before the first move elsewhere; null while it is in use. */
export function wayHome(
  ticket: Ticket,
  setups: { at: Setup[]; now: Setup },
): Pick<EntryOf<"change">, "in" | "fit"> | null {
  if (setups.now.in === OWN) return null;
  const left = ticket.entries.findLastIndex((_, i) => setups.at[i]!.in === OWN);
  const before = setups.at[left];
  const change = before && changeBetween(setups.now, { ...before, settings: setups.now.settings });
  return change ? { ...(change.fit && { fit: change.fit }), in: OWN } : { in: OWN };
}

/** Places of a kind of machine that take the part. */
export const placesOf = (catalog: Catalog, kind: string | undefined) =>
  catalog.positions.filter((position) => position.accepts === kind);
