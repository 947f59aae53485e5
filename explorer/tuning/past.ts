/** Which tickets of the bench tuning may learn from. Pure. */
import type { Ticket } from "../../engine/ticket/schema.js";

/** Closed ones; a practice machine was drawn from the very figures that are tuned, so it teaches nothing about them. */
export const pastTickets = (tickets: readonly Ticket[]): Ticket[] =>
  tickets.filter((t) => t.practice === undefined && t.entries.some((e) => e.kind === "release"));
