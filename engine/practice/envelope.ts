/**
 * The envelope: opened when a practice machine leaves the bench. What was really wrong with it, what it cost, what the
 * engine would have paid for the same machine with the same luck, and where most was lost.
 */
import type { Catalog } from "../catalog/schema.js";
import type { State } from "../belief/fold.js";
import { pricesOf } from "../plan/terms.js";
import { changeWords, titleOf } from "../plan/words.js";
import type { Ticket } from "../ticket/schema.js";
import type { Issue } from "../weighing.js";
import { issue } from "../issue.js";
import type { Arrival } from "./bench.js";
import { momentsOf, type Moment } from "./moments.js";
import { PRICES } from "./prices.js";
import { actionsOf, Session, type Move } from "./session.js";
import { shopOf } from "./shop.js";
import { strategyOf } from "./race.js";
import type { Action, Strategy } from "./strategy.js";
import { HINT } from "./rules.js";
import { workTicket, type Worked } from "./work.js";

export interface Envelope {
  truth: {
    /** what was wrong when it came in; empty where nothing was */
    causes: { id: string; name: string; group: string; rate: number; onSpare: boolean }[];
    /** it was something on no list */
    unlisted: boolean;
    /** touching quieted it only for a while, which the engine does not consider */
    relapsing: boolean;
  };
  own: Worked;
  engine: Worked & { steps: string[] };
  hints: number;
  points: number;
}

/** The engine that one is measured against, as in the race: one fault at a time. */
const ENGINE = "planner";

export function openEnvelope(
  catalog: Catalog,
  arrival: Arrival,
  ticket: Ticket,
): { envelope: Envelope } | { issues: Issue[] } {
  const played = playedToItsEnd(catalog, arrival, ticket);
  if ("issues" in played) return played;
  const { ending, given } = played;
  const shop = shopOf(catalog);
  const own = workTicket(arrival, toTheLetter(catalog, ticket, given, ending), shop, PRICES);
  const steps: string[] = [];
  const engine = workTicket(arrival, watched(strategyOf(ENGINE), steps), shop, PRICES);
  const hints = ticket.practice?.hints ?? 0;
  return {
    envelope: {
      truth: truthOf(arrival),
      own,
      engine: { ...engine, steps },
      hints,
      points: pointsOf(own, engine, hints),
    },
  };
}

/**
 * Where a record that has come to its end lost most.
 * @param onmove  told how many moves of the record have been judged: each takes up to a second
 */
export function costliest(
  catalog: Catalog,
  arrival: Arrival,
  ticket: Ticket,
  onmove?: (done: number, of: number) => void,
): Moment[] {
  const played = playedToItsEnd(catalog, arrival, ticket);
  if ("issues" in played) return [];
  const { moves, ending } = played;
  const end = moves.at(-1)?.after ?? arrival;
  return momentsOf(
    moves,
    { ...ending, state: end.state, ticket: end.ticket },
    pricesOf(catalog, arrival.ticket).minute,
    (done) => onmove?.(done, moves.length),
  );
}

interface PlayedOut {
  moves: readonly Move[];
  ending: Ended;
  /** entries that came with the machine */
  given: number;
}

function playedToItsEnd(catalog: Catalog, arrival: Arrival, ticket: Ticket): PlayedOut | { issues: Issue[] } {
  const ending = endingOf(ticket);
  if (!ending) return { issues: [issue("practice.ending", "nothing", "a machine that was handed over")] };
  const session = new Session(catalog, arrival);
  const played = session.play(ticket);
  return "issues" in played ? played : { moves: played.moves, ending, given: session.given.length };
}

/**
 * Of a hundred: half for the cost, the fewer the more it was beyond the engine's; a quarter for naming a cause; a quarter
 * for a machine that went home and stayed away; less what hints cost.
 */
function pointsOf(own: Worked, engine: Worked, hints: number): number {
  const cost = 50 * Math.min(1, engine.total / Math.max(own.total, 1e-9));
  const ending = 25 * Number(own.right) + 25 * Number(own.outcome === "released" && !own.comeback);
  return Math.max(0, Math.round(cost + ending) - HINT * hints);
}

interface Ended {
  kind: "release" | "return";
  entry: string;
  named: readonly string[];
}

function endingOf({ practice, entries }: Ticket): Ended | null {
  const release = entries.findLast((entry) => entry.kind === "release");
  if (!practice?.ending || release?.kind !== "release") return null;
  return { kind: practice.ending, entry: release.id, named: release.confirmed ?? [] };
}

/** A record is a strategy too: what was done, in its order. */
const toTheLetter = (
  catalog: Catalog,
  { entries }: Ticket,
  from: number,
  { kind, named }: Ended,
): Strategy => ({
  id: "record",
  name: "As recorded",
  *work() {
    yield* entries.slice(from).flatMap((entry) => actionsOf(catalog, entry));
    return { kind, named };
  },
});

/** The same strategy, its steps written down in words. */
const watched = (strategy: Strategy, steps: string[]): Strategy => ({
  ...strategy,
  *work(known) {
    const working = strategy.work(known);
    let next = working.next(known);
    while (!next.done) {
      steps.push(wordsOf(next.value, known.state));
      known = yield next.value;
      next = working.next(known);
    }
    steps.push(next.value.kind === "return" ? "Give it back unrepaired." : "Hand it back.");
    return next.value;
  },
});

/** What is put back without a start is only put back. */
const wordsOf = ({ candidate, n, stopEarly }: Action, { belief, place }: State): string =>
  candidate.kind === "starts" && candidate.change && !candidate.repair && n === 0
    ? `${changeWords(belief.model, place.setup, candidate.change)}.`
    : titleOf(belief.model, place.setup, candidate, n, stopEarly);

function truthOf({ machine: { truth } }: Arrival): Envelope["truth"] {
  const { model, causes, rates, unlisted, relapse } = truth;
  const spares = new Set(model.ticket.machine.parts.filter((p) => p.spare === true).map((p) => p.id));
  return {
    causes: causes.map((i, k) => {
      const { id, name, group, part } = model.causes[i]!;
      return { id, name, group, rate: rates[k]!, onSpare: part !== null && spares.has(part) };
    }),
    unlisted: unlisted !== null,
    relapsing: relapse > 0,
  };
}
