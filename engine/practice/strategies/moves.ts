/**
 * What hands do at a bench, as candidates: parts out, parts exchanged, repairs, starts.
 */
import type { Candidate } from "../../plan/candidates.js";
import type { Part } from "../../ticket/schema.js";
import { intakeSetup } from "../../ticket/setup.js";
import type { Catalog } from "../../catalog/schema.js";
import { spareId } from "../intake.js";
import type { Action, Known } from "../strategy.js";

export type Fit = Record<string, string | null>;

/** Starts after a change, or as it is. */
export const tryIt = (
  n: number,
  {
    fit,
    conditions = {},
    stopEarly = true,
  }: { fit?: Fit; conditions?: Record<string, string>; stopEarly?: boolean } = {},
): Action => ({
  kind: "do",
  candidate: { kind: "starts", change: fit ? { fit } : null, repair: null, conditions },
  n,
  stopEarly,
});

/** Change without a start. */
export const put = (fit: Fit): Action => tryIt(0, { fit });

/** A repair of the catalog and the starts after it. */
export const mend = (candidate: Candidate, n: number): Action => ({
  kind: "do",
  candidate,
  n,
  stopEarly: true,
});

/** A part of the customer's, in the position it came in. */
export interface Own {
  part: Part;
  position: string;
}

/** The customer's parts in the order of the shop's habit. */
export function ownParts({ ticket, shop }: Known): Own[] {
  const place = (kind: string) => (shop.parts.includes(kind) ? shop.parts.indexOf(kind) : shop.parts.length);
  return ticket.machine.parts
    .flatMap((part) => (part.position === undefined ? [] : [{ part, position: part.position }]))
    .sort((x, y) => place(x.part.kind) - place(y.part.kind));
}

/** The shop's own in place of the customer's; null where there is none. */
export function spareFor({ ticket }: Known, { part, position }: Own): Fit | null {
  const spare = ticket.machine.parts.find((p) => p.id === spareId(part.kind));
  return spare ? { [position]: spare.id } : null;
}

export const back = ({ part, position }: Own): Fit => ({ [position]: part.id });

/** What the machine can be tried without, taken out; null where it cannot. */
export function without(known: Known, { part, position }: Own): Fit | null {
  const { catalog } = known.state.belief.model;
  if (catalog.positions.find((p) => p.id === position)?.needed) return null;
  const others = Object.entries(known.state.place.setup.fit).some(
    ([p, id]) => p !== position && id !== null && kindOf(known, id) === part.kind,
  );
  if (catalog.parts.find((k) => k.id === part.kind)?.needsOne && !others) return null;
  return { [position]: null };
}

const kindOf = ({ ticket }: Known, id: string) => ticket.machine.parts.find((p) => p.id === id)!.kind;

/** A repair by its id, on each thing it can be made on; none where the catalog has no such repair. */
export function repairs(known: Known, id: string): Candidate[] {
  const { model } = known.state.belief;
  const repair = model.catalog.repairs?.find((r) => r.id === id);
  if (!repair) return [];
  const { fit } = known.state.place.setup;
  const { on } = repair;
  const places =
    on === "machine"
      ? [null]
      : "part" in on
        ? Object.values(fit).filter((p): p is string => p !== null && kindOf(known, p) === on.part)
        : positionsOf(model.catalog, on.position).filter((p) => fit[p] !== null);
  return places.map((place) => ({
    kind: "repair",
    change: null,
    repair: { repair, on: place },
    conditions: {},
  }));
}

const positionsOf = (catalog: Catalog, kind: string) =>
  catalog.positions.filter((p) => p.kind === kind).map((p) => p.id);

/** Is this position as it came in? */
export const asItCame = ({ state }: Known, { part, position }: Own): boolean =>
  state.place.setup.fit[position] === part.id && intakeSetup(state.belief.model).fit[position] === part.id;
