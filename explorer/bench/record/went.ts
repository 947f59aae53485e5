/** Where a part that came out can go, how likely it is bad, and what is said of it afterwards. Pure. */
import type { Catalog } from "../../../engine/catalog/schema.js";
import type { Part, Ticket } from "../../../engine/ticket/schema.js";
import type { CauseView, Weighing } from "../../../engine/weighing.js";
import { percent } from "../format.js";

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

const marked = ({ bad }: NonNullable<Part["went"]>) =>
  bad === undefined ? "not known to be good" : `bad: ${percent(bad)}`;

/** What the shelf says of a part that is in no place. */
export function shelfWords({ spare, atHand, went }: Part): string {
  if (went) return went.to === "spare" ? `marked spare, ${marked(went)}` : WENT[went.to];
  return `${spare ? "spare" : "taken out"}${atHand === false ? ", to be bought" : ""}`;
}

/** The parts that earlier tickets kept as marked spares, of kinds that the catalog has: name, whose it was, how bad. */
export function markedSpares(tickets: readonly Ticket[], catalog: Catalog): string[] {
  const kinds = new Map(catalog.parts.map((kind) => [kind.id, kind.name]));
  return tickets.flatMap(({ title, machine }) =>
    machine.parts.flatMap(({ kind, name, went }) =>
      went?.to === "spare" && kinds.has(kind)
        ? [`${name ?? kinds.get(kind)} from “${title}”, ${marked(went)}${went.note ? `, ${went.note}` : ""}`]
        : [],
    ),
  );
}
