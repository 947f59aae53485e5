/**
 * The shop and its customers: what machines come in, how they are used, what is on the shelf, what is done by habit.
 * Invented where it is not common practice. A catalog that is not named here gets the habits that follow from its minutes.
 */
import type { Catalog } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";

export interface Shop {
  /** machines are this old, evenly, in years */
  ages: [number, number];
  /** chance of each event of the catalog in a machine's history */
  event: number;
  /** setting id → value id → chance that the machine came in with it; the rest have the default */
  settings: Record<string, Record<string, number>>;
  /** settings that change when the machine is brought to the bench */
  bench: Record<string, string>;
  /** starts that the owner can tell of, fewest and most */
  told: [number, number];
  /** part kinds of which a known-good one lies on the shelf; others have to be bought */
  shelf: string[];
  /** part kinds in the order in which people try them */
  parts: string[];
  /** repairs in the order of a checklist */
  repairs: string[];
}

const DESKTOP: Partial<Shop> = {
  settings: { "memory-speed": { rated: 0.35 }, "firmware-settings": { custom: 0.2 }, "fast-start": { off: 0.3 } },
  bench: { place: "bench" },
  shelf: ["module", "supply", "graphics", "cell", "device"],
  // what can be left out first, then what is quickly swapped, the dear and slow ones last: common practice, no source
  parts: [
    "device", "module", "graphics", "cell", "front-switch", "supply", "drive", "case-fan", "cooler", "board", "processor",
  ],
  // settings, seating, plugs, firmware, in that order: common practice, no source
  repairs: [
    "clear-settings", "reseat-all-modules", "replug-power", "reseat-graphics", "replug-drive", "replug-front-switch",
    "update-firmware", "new-cell", "repair-system",
  ],
}; // prettier-ignore

const KNOWN: Record<string, Partial<Shop>> = { desktop: DESKTOP };

export function shopOf(catalog: Catalog): Shop {
  return {
    ages: [1, 10],
    event: 0.1,
    settings: {},
    bench: {},
    told: [6, 20],
    shelf: catalog.parts.map((k) => k.id),
    parts: byHandling(catalog),
    repairs: byMinutes(catalog),
    ...KNOWN[catalog.id],
  };
}

/** Quickest to take out and put back first. */
const byHandling = (catalog: Catalog): string[] =>
  [...catalog.parts]
    .sort((x, y) => numberOf(x.insert) + numberOf(x.remove) - numberOf(y.insert) - numberOf(y.remove))
    .map((k) => k.id);

const byMinutes = (catalog: Catalog): string[] =>
  [...(catalog.repairs ?? [])].sort((x, y) => numberOf(x.minutes) - numberOf(y.minutes)).map((r) => r.id);

/** One start a day after a night off, and work: of every condition the class at the far end. */
export const customersUse = (catalog: Catalog): Record<string, string> =>
  Object.fromEntries((catalog.conditions ?? []).map((c) => [c.id, c.classes.at(-1)!.id]));
