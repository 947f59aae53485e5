/** The evidence ledger of one suspect: decibans entry by entry, from before the record to now. Pure. */
import type { Weighing } from "../../engine/weighing.js";
import { NONE, UNLISTED } from "./rows.js";

export interface LedgerRow {
  /** "prior", "now", "others" or the entry's id */
  id: string;
  label: string;
  /** decibans before and after */
  from: number;
  to: number;
  /** what the entry adds; null for the two ends */
  weight: number | null;
}

/** Weights under this, either way, are added up in one row. */
const SMALL = 0.5;

const toDecibans = (p: number): number => 10 * Math.log10(p / (1 - p));
/** The chance that some decibans stand for. */
export const chanceAt = (decibans: number): number => 1 / (1 + 10 ** (-decibans / 10));

/**
 * @param heading  the words of the entry with this id
 * @returns prior, entries in the record's order, the small ones together, now; null where the odds are 0 or infinite
 */
export function ledgerRows(
  weighing: Weighing,
  suspect: string,
  heading: (entry: string) => string,
): LedgerRow[] | null {
  const cause = weighing.causes.find((c) => c.id === suspect);
  const weights = weighing.entries.map((view) => ({
    id: view.id,
    weight:
      suspect === NONE
        ? view.ledgerNone
        : suspect === UNLISTED
          ? view.ledgerUnlisted
          : (view.ledger[suspect] ?? null),
  }));
  const whole = weights.reduce((sum, { weight }) => sum + (weight ?? 0), 0);
  const p = cause?.present.p ?? (suspect === NONE ? weighing.none.p : weighing.unlisted.p);
  const prior = cause ? toDecibans(cause.prior) : toDecibans(p) - whole;
  if (!Number.isFinite(prior) || weights.some(({ weight }) => weight === null)) return null;

  const rows: LedgerRow[] = [{ id: "prior", label: "Before the record", from: prior, to: prior, weight: null }]; // prettier-ignore
  let at = prior;
  const add = (id: string, label: string, weight: number) => {
    rows.push({ id, label, from: at, to: at + weight, weight });
    at += weight;
  };
  const small = weights.filter(({ weight }) => Math.abs(weight!) < SMALL);
  for (const { id, weight } of weights) if (Math.abs(weight!) >= SMALL) add(id, heading(id), weight!);
  if (small.length > 0) {
    const each = small.length === 1 ? "1 entry that says little" : `${small.length} entries that say little`;
    add("others", each, small.reduce((sum, { weight }) => sum + weight!, 0)); // prettier-ignore
  }
  return [...rows, { id: "now", label: "Now", from: at, to: at, weight: null }];
}
