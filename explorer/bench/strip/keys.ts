/** One key for every outcome: 1, 2, 3 … in the order the machine passes its stages, 0 for a clean start. Pure. */
import type { Catalog } from "../../../engine/catalog/schema.js";
import { CLEAN } from "../ticket-edits.js";

export interface OutcomeKey {
  outcome: string;
  key: string;
  name: string;
  hint: string;
}

const KEYS = "123456789qwertyuiop";

export function outcomeKeys(catalog: Catalog): OutcomeKey[] {
  const stages = catalog.stages.map((stage, i) => ({
    outcome: stage.id,
    key: KEYS[i] ?? "",
    name: stage.short ?? stage.name,
    hint: stage.hint ?? stage.name,
  }));
  return [...stages, { outcome: CLEAN, key: "0", name: "clean start", hint: "It started and ran." }];
}

interface Pressed {
  key: string;
  ctrlKey: boolean;
  metaKey: boolean;
  altKey: boolean;
  shiftKey: boolean;
  repeat: boolean;
}

/** What a key press asks for, or null. Single letters and digits only while they are switched on. */
export function keyAction<K extends { key: string }>(
  event: Pressed,
  keys: readonly K[],
  singles: boolean,
): "undo" | "redo" | K | null {
  const key = event.key.toLowerCase();
  const control = event.ctrlKey || event.metaKey;
  if (control && key === "z") return event.shiftKey ? "redo" : "undo";
  if (control && key === "y") return "redo";
  if (control || event.altKey || event.repeat || !singles) return null;
  return keys.find((k) => k.key === key) ?? null;
}
