/** What one start may have been, for a list to choose from. Pure. */
import type { Catalog } from "../../../engine/catalog/schema.js";
import type { EntryOf, Ticket, Trial } from "../../../engine/ticket/schema.js";
import { conditionMinutes } from "../../../engine/ticket/setup.js";
import { CLEAN } from "../ticket-edits.js";

export type Outcome = Trial["outcome"];

/** A stop that nobody saw: any stage. */
export const unseen = (catalog: Catalog): Outcome => catalog.stages.map((stage) => stage.id);

/** Every stage, a clean start and a stop that nobody saw; `own` too where it is none of them. */
export function outcomeChoices(catalog: Catalog, own?: Outcome): { key: string; outcome: Outcome }[] {
  const usual: Outcome[] = [...catalog.stages.map((stage) => stage.id), unseen(catalog), CLEAN];
  const all = usual.map((outcome) => ({ key: JSON.stringify(outcome), outcome }));
  const key = JSON.stringify(own);
  return own === undefined || all.some((choice) => choice.key === key)
    ? all
    : [...all, { key, outcome: own }];
}

export const stopped = (outcome: Outcome): boolean =>
  !(Array.isArray(outcome) ? outcome.includes(CLEAN) : outcome === CLEAN);

/** Minutes under load that a row was planned for; 0 where the catalog knows no load. */
export const plannedLoad = (
  catalog: Catalog,
  ticket: Ticket,
  conditions: EntryOf<"starts">["conditions"],
): number => conditionMinutes(catalog, ticket.machine.conditions, conditions)["load"] ?? 0;

/** Codes already written in the record, the newest first: the same lamp blinks again. */
export function knownCodes(ticket: Ticket, most = 4): string[] {
  const codes = ticket.entries.flatMap((entry) =>
    entry.kind === "starts" ? entry.trials.flatMap((trial) => trial.code ?? []) : [],
  );
  return [...new Set(codes.reverse())].slice(0, most);
}
