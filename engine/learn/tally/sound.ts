/** Whether the counts of a tally can have come from any tickets at all. */
import { issue } from "../../issue.js";
import type { Issue } from "../../weighing.js";
import { MOST_MINUTES, type Space } from "../space.js";
import type { Tally } from "./tally.js";

/** Sums of logarithms come rounded. */
const ROUNDED = 1e-9;

export function tallyIssues(tally: Tally, space: Space): Issue[] {
  // a file that holds one kind of row alone is held against nothing
  const isWhole = tally.tickets.some((n) => n > 0);
  const starts = startsOf(tally, space.causes.length);
  return [
    ...space.causes.flatMap((cause, c) => (isWhole ? causeIssues(tally, starts[c]!, space, cause, c) : [])),
    ...space.repairs.flatMap((repair, r) => minutesIssues(tally, repair, r)),
  ];
}

interface Starts {
  counted: number;
  stopped: number;
}

function causeIssues(
  tally: Tally,
  { counted, stopped }: Starts,
  { causes, stages, events, repairs }: Space,
  cause: string,
  c: number,
): Issue[] {
  const tickets = tally.tickets[c]!;
  const told = tally.told[c]!;
  const [S, E] = [stages.length, events.length];
  const byStage = tally.stops.subarray(c * S, (c + 1) * S).reduce((sum, n) => sum + n, 0);
  const atMost = (what: string, found: number, most: number, of: string): Issue[] =>
    found <= most * (1 + ROUNDED) ? [] : [issue(`${cause}, ${what}`, `${found}`, `at most ${most}, ${of}`)];
  return [
    ...atMost("starts", counted, tickets, "the tickets of the cause"),
    // of some tickets the stage alone may be told
    ...(counted === tickets ? atMost("stops", byStage, stopped, "the stops of its starts") : []),
    ...atMost("told", told, tickets, "the tickets of the cause"),
    ...repairs.flatMap((repair, r) => {
      const [not, cured] = tally.cures.subarray((r * causes.length + c) * 2) as unknown as [number, number];
      return atMost(`cure ${repair}`, not + cured, tickets, "the tickets of the cause");
    }),
    ...events.flatMap((event, e) =>
      atMost(`event ${event}`, tally.events[c * E + e]!, told, "the tickets of the cause that are told"),
    ),
  ];
}

/** Tickets whose starts were counted, and the stops among them, by cause. */
function startsOf({ starts }: Tally, causes: number): Starts[] {
  const sums = Array.from({ length: causes }, (): Starts => ({ counted: 0, stopped: 0 }));
  for (const [key, tickets] of starts) {
    const [cause, k] = key.split(" ").map(Number);
    sums[cause!]!.counted += tickets;
    sums[cause!]!.stopped += k! * tickets;
  }
  return sums;
}

function minutesIssues({ minutes }: Tally, repair: string, r: number): Issue[] {
  const [n, total, squares] = minutes.subarray(3 * r, 3 * r + 3) as unknown as [number, number, number];
  const wrong = (expected: string) => [
    issue(`minutes, ${repair}`, `${n} repairs, ${total} and ${squares}`, expected),
  ];
  if (Math.abs(total) > n * Math.log(MOST_MINUTES))
    return wrong(`logarithms of minutes up to ${MOST_MINUTES}`);
  const isSound = n > 0 ? squares * n >= total ** 2 * (1 - ROUNDED) : squares === 0;
  return isSound ? [] : wrong("squares of at least total² / tickets");
}
