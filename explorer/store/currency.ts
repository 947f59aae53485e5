/** What the money of a ticket is in. Pure. */
import type { Ticket } from "../../engine/ticket/schema.js";

/** A ticket that states no currency is given this one; null and undefined leave its sums bare. */
export const inCurrency = (ticket: Ticket, code: string | null | undefined): Ticket =>
  ticket.currency === undefined && code ? { ...ticket, currency: code } : ticket;
