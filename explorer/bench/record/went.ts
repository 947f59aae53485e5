/** Where a part that came out can go, and how likely it is bad. Pure. */
import type { Part } from "../../../engine/ticket/schema.js";
import type { CauseView, Weighing } from "../../../engine/weighing.js";

type Way = NonNullable<Part["went"]>["to"];

export const WENT: Record<Way, string> = {
  owner: "back to the owner",
  warranty: "back under warranty",
  spare: "kept as a marked spare",
  recycled: "recycled",
};

/**
 * P(the part fails where it is used), in [0, 1]: the sum over its causes, which is a little too much where two of them
 * are at work at once. Null where no cause of the part is on the list.
 */
export function chanceBad(weighing: Weighing, part: string): number | null {
  const own = weighing.causes.filter((cause) => cause.parts.includes(part) && cause.position === null);
  const bad = (cause: CauseView) => cause.ifUsed ?? cause.atWork.p;
  return own.length === 0
    ? null
    : Math.min(
        1,
        own.reduce((sum, cause) => sum + bad(cause), 0),
      );
}
