/** Controls of a lesson: what they stand for, and the ticket with them set. Pure. */
import type { Ticket } from "../../ticket/schema.js";
import type { ControlValues, Lesson, LessonControl } from "./schema.js";

export const valuesOf = ({ controls }: Lesson): ControlValues =>
  Object.fromEntries(controls.map((c) => [c.id, c.value]));

/** What a control's value stands for. */
export function meantBy({ as }: LessonControl, value: number): number {
  if (as === "oneIn") return 1 / value;
  return value / (as === "hundredth" ? 100 : as === "thousandth" ? 1000 : 1);
}

/** The lesson's ticket with the controls set; rows of no starts are left out. */
export function ticketWith(lesson: Lesson, values: ControlValues): Ticket {
  const ticket = structuredClone(lesson.ticket);
  for (const control of lesson.controls)
    for (const path of control.to) setAt(ticket, path.split("."), meantBy(control, values[control.id]!));
  return {
    ...ticket,
    entries: ticket.entries.map((e) =>
      e.kind === "starts" ? { ...e, trials: e.trials.filter((t) => t.n !== 0) } : e,
    ),
  };
}

/** @throws {RangeError} where the path leads nowhere */
function setAt(root: object, path: readonly string[], value: number): void {
  let at = root as Record<string, unknown>;
  path.slice(0, -1).forEach((key, k) => {
    const next = Array.isArray(at)
      ? (at as { id?: string }[]).find((item, i) => item.id === key || String(i) === key)
      : at[key];
    if (typeof next !== "object" || next === null)
      throw new RangeError(
        `controls: found ${path.slice(0, k + 1).join(".")}, expected a place in the ticket`,
      );
    at = next as Record<string, unknown>;
  });
  at[path.at(-1)!] = value;
}
