/** Why what was read teaches nothing, in words. Pure. */
import type { Matching } from "../../engine/learn/table/matching.js";
import type { Read } from "./messages.js";

/** @returns null where there is a confirmed ticket to learn from */
export function whyNothing(
  { confirmed, tickets, count }: Pick<Read, "confirmed" | "tickets" | "count">,
  matching: Pick<Matching, "columns"> | null,
): string | null {
  if (confirmed > 0) return null;
  if (tickets === 0 && count) return "every row was rejected";
  if (tickets === 0) return "no ticket could be counted";
  if (count && matching?.columns.cause === undefined)
    return "no column is said to hold the cause; choose it above, and read the table again";
  const none =
    tickets === 1
      ? "its one ticket has no confirmed cause"
      : `none of ${tickets} tickets has a confirmed cause`;
  const said = matching?.columns.confirmed;
  return said === undefined ? none : `${none}, by what the column ${said} says`;
}
