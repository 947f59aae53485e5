/** Practice in words. Pure. */
import type { Worked } from "../../engine/practice/work.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Setup } from "../../engine/ticket/setup.js";
import type { Words } from "../bench/words.js";

export function endingWords({ outcome, comeback }: Pick<Worked, "outcome" | "comeback">): string {
  if (outcome === "released") return comeback ? "came back" : "stayed away";
  if (outcome === "returned") return "given back unrepaired";
  return outcome === "over budget" ? "dearer than the owner pays" : "too long for any machine";
}

/** What an entry of the record was. @param at  the setup before each entry */
export function headingIn({ entries }: Ticket, words: Words, at: readonly Setup[], id: string): string {
  const k = entries.findIndex((entry) => entry.id === id);
  const entry = entries[k];
  if (!entry) return id;
  return entry.kind === "release" ? "Handing it over" : words.heading(entry, at[k]!);
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
