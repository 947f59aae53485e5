/** What a ticket on the shelf waits for. Pure. */
import type { Ticket } from "../../../engine/ticket/schema.js";

type Parking = NonNullable<Ticket["parked"]>;
type Wait = Parking["for"];

export const WAITS: Record<Wait, string> = {
  part: "a part to come",
  owner: "the owner's yes",
  cold: "the machine to be cold",
};

/** The parking that holds: a release since has ended it, though the record may still have it. */
export function parkingOf({ entries, parked }: Ticket): Parking | null {
  const ends = (at: string | undefined) => at !== undefined && Date.parse(at) >= Date.parse(parked!.since);
  return parked && !entries.some((entry) => entry.kind === "release" && ends(entry.at)) ? parked : null;
}

export const park = (ticket: Ticket, wait: Wait, since: string): Ticket => ({
  ...ticket,
  parked: { for: wait, since },
});

export function unpark({ parked: _, ...ticket }: Ticket): Ticket {
  return ticket;
}
