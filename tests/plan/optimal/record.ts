/**
 * Moves of a small world as entries of a ticket's record, and the planner's candidates as moves.
 */
import type { Candidate } from "../../../engine/plan/candidates.js";
import type { Catalog, Target } from "../../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../../engine/ticket/schema.js";
import type { Move, Node } from "./world.js";

const catalogOf = (ticket: Ticket) => ticket.catalog as Catalog;

/** Every look and repair of these catalogs is made on the one part of a kind. */
const partOf = (ticket: Ticket, on: Target): string =>
  ticket.machine.parts.find((p) => p.kind === (on as { part: string }).part)!.id;

/** What the record gains by a move and by what was seen; a way to end adds nothing. */
export function entriesOf(ticket: Ticket, node: Node, move: Move, seen: number): Entry[] {
  const catalog = catalogOf(ticket);
  switch (move.kind) {
    case "finding": {
      const finding = catalog.findings![move.finding]!;
      const value = finding.values[seen]!.id;
      return [{ id: "f", kind: "finding", finding: finding.id, on: partOf(ticket, finding.on), value }];
    }
    case "start": {
      const outcome = catalog.stages[seen]?.id ?? "clean";
      const start: Entry = {
        id: "s",
        kind: "starts",
        conditions: conditionsOf(catalog, move.condition),
        trials: [{ outcome }],
      };
      return move.setting === node.setting ? [start] : [changeTo(catalog, move.setting), start];
    }
    case "repair": {
      const repair = catalog.repairs![move.repair]!;
      return [{ id: "r", kind: "repair", repair: repair.id, on: partOf(ticket, repair.on) }];
    }
    case "release":
    case "return":
      return [];
  }
}

function changeTo(catalog: Catalog, setting: number): Entry {
  const { id, values } = catalog.settings![0]!;
  return { id: "c", kind: "change", settings: { [id]: values[setting]!.id } };
}

/** Condition 0 is the default, which is not named. */
function conditionsOf(catalog: Catalog, condition: number): Record<string, string> {
  if (condition === 0) return {};
  const { id, classes } = catalog.conditions![0]!;
  return { [id]: classes[condition]!.id };
}

/** The moves that a candidate of the planner stands for, its starts made n times; in order. */
export function movesOfCandidate(ticket: Ticket, node: Node, candidate: Candidate, n: number): Move[] {
  const catalog = catalogOf(ticket);
  const at = (list: readonly { id: string }[] | undefined, id: string) => list!.findIndex((x) => x.id === id);
  switch (candidate.kind) {
    case "finding":
      return [{ kind: "finding", finding: at(catalog.findings, candidate.finding.id) }];
    case "reading":
      throw new Error(`candidate: found reading ${candidate.reading.id}, expected none in these catalogs`);
    case "starts":
    case "repair": {
      const to = candidate.change?.settings?.["path"];
      const setting = to === undefined ? node.setting : at(catalog.settings?.[0]?.values, to);
      const named = candidate.conditions["rest"];
      const condition = named === undefined ? 0 : at(catalog.conditions?.[0]?.classes, named);
      const starts = Array.from({ length: n }, (): Move => ({ kind: "start", setting, condition }));
      if (!candidate.repair) return starts;
      return [{ kind: "repair", repair: at(catalog.repairs, candidate.repair.repair.id) }, ...starts];
    }
  }
}
