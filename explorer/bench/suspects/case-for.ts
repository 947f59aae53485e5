/** What the record says about one suspect, entry by entry. Pure. */
import type { Ticket } from "../../../engine/ticket/schema.js";
import type { CauseView, Interval, Weighing } from "../../../engine/weighing.js";
import { NONE, UNLISTED } from "../../charts/rows.js";

export interface Case {
  name: string;
  now: Interval;
  /** null for the two that are no listed cause */
  cause: CauseView | null;
  /** entries by their place in the record, with decibans; those under half a deciban are left out */
  weights: { index: number; weight: number }[];
}

export function caseFor(weighing: Weighing, ticket: Ticket, id: string): Case | null {
  const cause = weighing.causes.find((c) => c.id === id) ?? null;
  const special = id === NONE ? weighing.none : id === UNLISTED ? weighing.unlisted : null;
  const now = cause?.present ?? special;
  if (!now) return null;
  const places = new Map(ticket.entries.map((entry, index) => [entry.id, index]));
  const weights = weighing.entries.flatMap((view) => {
    const weight = cause ? view.ledger[id] : id === NONE ? view.ledgerNone : view.ledgerUnlisted;
    const index = places.get(view.id);
    return index !== undefined && weight && Math.abs(weight) >= 0.5 ? [{ index, weight }] : [];
  });
  return { name: cause?.name ?? (id === NONE ? "Nothing wrong" : "Not on the list"), now, cause, weights };
}
