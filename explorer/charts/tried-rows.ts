/** What has been tried: starts counted by setup and outcome. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { EntryOf, Ticket } from "../../engine/ticket/schema.js";
import type { Setup } from "../../engine/ticket/setup.js";

export interface TriedCell {
  /** the setup, its conditions, and who counted */
  setup: string;
  outcome: string;
  n: number;
}

export interface Tried {
  setups: string[];
  outcomes: { id: string; name: string }[];
  /** those with starts in them */
  cells: TriedCell[];
}

export const CLEAN = "clean";
export const UNSEEN = "not seen where";

/** Voided starts are not counted; a start whose stop was only partly seen stands in a column of its own. */
export function tried(
  ticket: Ticket,
  catalog: Catalog,
  setups: readonly Setup[],
  nameOf: (entry: EntryOf<"starts">, setup: Setup) => string,
): Tried {
  const counts = new Map<string, Map<string, number>>();
  ticket.entries.forEach((entry, k) => {
    if (entry.kind !== "starts") return;
    const name = nameOf(entry, setups[k]!);
    const row = counts.get(name) ?? new Map<string, number>();
    for (const { outcome, n = 1, voided } of entry.trials) {
      if (voided !== undefined) continue;
      const column = !Array.isArray(outcome) ? outcome : outcome.length === 1 ? outcome[0]! : UNSEEN;
      row.set(column, (row.get(column) ?? 0) + n);
    }
    if (row.size > 0) counts.set(name, row);
  });
  const used = new Set([...counts.values()].flatMap((row) => [...row.keys()]));
  const outcomes = [
    ...catalog.stages.map(({ id, name, short }) => ({ id, name: short ?? name })),
    { id: UNSEEN, name: UNSEEN },
    { id: CLEAN, name: "clean" },
  ].filter(({ id }) => id !== UNSEEN || used.has(id));
  return {
    setups: [...counts.keys()],
    outcomes,
    cells: [...counts].flatMap(([setup, row]) =>
      outcomes.flatMap(({ id }) => (row.has(id) ? [{ setup, outcome: id, n: row.get(id)! }] : [])),
    ),
  };
}

/** One row a setup: its counts by outcome, with how many starts there were. */
export const triedTable = ({ setups, outcomes, cells }: Tried) =>
  setups.map((setup) => {
    const own = cells.filter((cell) => cell.setup === setup);
    const of = (id: string) => own.find((cell) => cell.outcome === id)?.n ?? 0;
    const all = own.reduce((sum, { n }) => sum + n, 0);
    return { setup, all, counts: outcomes.map(({ id }) => of(id)) };
  });
