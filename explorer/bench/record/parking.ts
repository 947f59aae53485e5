/** What a ticket on the shelf waits for. Pure. */
import type { Ticket } from "../../../engine/ticket/schema.js";

type Wait = NonNullable<Ticket["parked"]>["for"];

export const WAITS: Record<Wait, string> = {
  part: "a part to come",
  owner: "the owner's yes",
  cold: "the machine to be cold",
};

export const park = (ticket: Ticket, wait: Wait, since: string): Ticket => ({
  ...ticket,
  parked: { for: wait, since },
});

export function unpark({ parked: _, ...ticket }: Ticket): Ticket {
  return ticket;
}
