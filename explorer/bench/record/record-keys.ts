/** What a key does on an entry's grip. Pure. */
export type GripAction = "up" | "down" | "first" | "last" | "move up" | "move down" | "insert" | "delete";

const PLAIN: Record<string, GripAction> = {
  ArrowUp: "up",
  ArrowDown: "down",
  Home: "first",
  End: "last",
  Insert: "insert",
  Delete: "delete",
};
const WITH_ALT: Record<string, GripAction> = { ArrowUp: "move up", ArrowDown: "move down" };

export function gripAction(
  event: Pick<KeyboardEvent, "key" | "altKey" | "ctrlKey" | "metaKey">,
): GripAction | null {
  if (event.ctrlKey || event.metaKey) return null;
  return (event.altKey ? WITH_ALT : PLAIN)[event.key] ?? null;
}

/** For `aria-keyshortcuts`. */
export const GRIP_KEYS = "ArrowUp ArrowDown Alt+ArrowUp Alt+ArrowDown Insert Delete";
