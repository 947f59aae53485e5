/** A setup and its conditions in words, as the map of what has been tried tells them apart: by class, not by minutes. */
import type { EntryOf } from "../../../engine/ticket/schema.js";
import { classOf, type Setup } from "../../../engine/ticket/setup.js";
import { sentence } from "../format.js";
import type { Words } from "../words.js";

export function triedName(words: Words, entry: EntryOf<"starts">, setup: Setup): string {
  const stated = Object.entries(entry.conditions ?? {}).map(([id, value]) => {
    const condition = words.catalog.conditions?.find((c) => c.id === id);
    return [id, condition && typeof value === "number" ? classOf(condition, value) : value];
  });
  const how = words.conditions(Object.fromEntries(stated));
  const what = entry.by === "owner" ? `owner’s count, ${words.setup(setup)}` : words.setup(setup);
  return sentence(how === "" ? what : `${how}: ${what}`);
}
