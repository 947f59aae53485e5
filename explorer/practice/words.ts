/** Practice in words. Pure. */
import type { Worked } from "../../engine/practice/work.js";
import type { Bench } from "../bench/bench.svelte.js";

export function endingWords({ outcome, comeback }: Pick<Worked, "outcome" | "comeback">): string {
  if (outcome === "released") return comeback ? "came back" : "stayed away";
  if (outcome === "returned") return "given back unrepaired";
  return outcome === "over budget" ? "dearer than the owner pays" : "too long for any machine";
}

/** What an entry of the record was. */
export function headingOf(bench: Bench, id: string): string {
  const k = bench.ticket.entries.findIndex((entry) => entry.id === id);
  if (k < 0) return id;
  const entry = bench.ticket.entries[k]!;
  return entry.kind === "release" ? "Handing it over" : bench.words.heading(entry, bench.setups.at[k]!);
}

/** What a theme is called. */
export const themeWords = (theme: string): string =>
  ({
    any: "Anything",
    part: "Parts",
    contact: "Contacts",
    firmware: "Firmware",
    setting: "Settings",
    supply: "Supply",
    outside: "Outside the machine",
    heat: "Heat",
  })[theme] ?? theme;
