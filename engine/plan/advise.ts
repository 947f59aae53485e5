import type { State } from "../belief/fold.js";
import type { Ticket } from "../ticket/schema.js";
import type { Advice } from "../weighing.js";
export function advise(_state: State, _ticket: Ticket): Advice | null {
  return null;
}
