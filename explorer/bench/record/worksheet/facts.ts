/** What a worksheet cell is told: the ticket and the belief as they stood at its place in the record. Pure. */
import type { Catalog } from "../../../../engine/catalog/schema.js";
import { pricesOf } from "../../../../engine/plan/terms.js";
import type { Ticket } from "../../../../engine/ticket/schema.js";
import type { Weighing } from "../../../../engine/weighing.js";
import { CLEAN } from "../../ticket-edits.js";

export interface CauseFact {
  id: string;
  name: string;
  /** P(it was a cause), P(it is still at work), each after the cell's entry */
  present: number;
  atWork: number;
}

export interface Facts {
  causes: CauseFact[];
  none: number;
  unlisted: number;
  nothingAtWork: number;
  /** labour so far, minutes */
  minutes: number;
  /** money for an hour of labour */
  perHour: number;
  /** starts that count so far, made at this bench */
  starts: number;
  failed: number;
}

export interface Cell {
  id: string;
  expression: string;
  /** null: the record is not weighed yet */
  facts: Facts | null;
}

/** The worksheet cells of a record in their order. */
export function cellsOf(ticket: Ticket, catalog: Catalog, weighing: Weighing | null): Cell[] {
  if (!ticket.entries.some((entry) => entry.kind === "worksheet")) return [];
  const views = new Map(weighing?.entries.map((view) => [view.id, view]));
  const perHour = 60 * pricesOf(catalog, ticket).minute;
  let [minutes, starts, failed] = [0, 0, 0];
  return ticket.entries.flatMap((entry) => {
    minutes += entry.minutes ?? 0;
    if (entry.kind === "starts" && entry.by !== "owner")
      for (const trial of entry.trials) {
        if (trial.voided !== undefined) continue;
        starts += trial.n ?? 1;
        if (trial.outcome !== CLEAN) failed += trial.n ?? 1;
      }
    if (entry.kind !== "worksheet") return [];
    const view = views.get(entry.id);
    const facts = view && {
      causes: weighing!.causes.map(({ id, name }) => ({
        id,
        name,
        present: view.present[id] ?? 0,
        atWork: view.atWork[id] ?? 0,
      })),
      none: view.none,
      unlisted: view.unlisted,
      nothingAtWork: view.nothingAtWork,
      minutes,
      perHour,
      starts,
      failed,
    };
    return [{ id: entry.id, expression: entry.expression, facts: facts ?? null }];
  });
}
