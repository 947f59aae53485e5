/**
 * Where a record lost money: what each choice cost beyond the best that the engine saw at that time.
 *
 *   loss = money of the action + Σ over its answers P(answer | record so far) · V(record with it) − V(record so far)
 *
 * V is the engine's expected cost to the end. Luck is not in it: what an action might have shown counts by its chance, and
 * not what it happened to show. A reading's answers are not enumerated, nor is what a repair's tries may show: there V is
 * taken after what was seen.
 */
import { step, type State } from "../belief/fold.js";
import { decide, type Decision } from "../plan/decide.js";
import { titleOf } from "../plan/words.js";
import type { Entry, Ticket } from "../ticket/schema.js";
import type { Move } from "./session.js";

export interface Moment {
  /** id of the entry */
  entry: string;
  /** money lost on it, all its actions together */
  loss: number;
  /** what it took at the bench, all its actions together */
  minutes: number;
  /** what would have been done first at its beginning, in words */
  better: string;
  /** expected cost to the end as the entry began */
  before: number;
}

/** Without a look further than one test: several hundred of these are asked for. */
const DEPTH = 0;
const judge = (state: State, ticket: Ticket): Decision => decide(state, ticket, { depth: DEPTH });

/**
 * Losses by entry, the dearest first; those below a hundredth of a unit of money are left out.
 * @param ending  how the record ends; null while it does not
 * @param onmove  told after each move, for progress
 */
export function momentsOf(
  moves: readonly Move[],
  ending: { kind: "release" | "return"; entry: string; state: State; ticket: Ticket } | null,
  minute: number,
  onmove: (done: number) => void = () => undefined,
): Moment[] {
  const byEntry = new Map<string, Moment>();
  const add = (entry: string, loss: number, minutes: number, now: Decision, state: State) => {
    const known = byEntry.get(entry) ?? {
      entry,
      loss: 0,
      minutes: 0,
      better: wordsOf(now, state),
      before: now.cost,
    };
    byEntry.set(entry, { ...known, loss: known.loss + loss, minutes: known.minutes + minutes });
  };
  moves.forEach((move, k) => {
    const { state, ticket } = move.before;
    const now = judge(state, ticket);
    const spent = move.minutes * minute + move.money;
    add(move.entry, spent + expectedAfter(move) - now.cost, move.minutes, now, state);
    onmove(k + 1);
  });
  if (ending) {
    const now = judge(ending.state, ending.ticket);
    const chosen = now.options.find((option) => option.kind === ending.kind);
    if (chosen) add(ending.entry, chosen.cost - now.cost, 0, now, ending.state);
  }
  return [...byEntry.values()].filter(({ loss }) => loss >= 0.01).sort((x, y) => y.loss - x.loss);
}

/** Σ P(answer) · V after it. */
function expectedAfter({ action, before, after, answered }: Move): number {
  const possible = answersOf(action, before.state);
  if (possible.length === 0) return judge(after.state, after.ticket).cost;
  const recorded = answered.at(-1)!;
  const from = before.state.belief.logEvidence;
  let [sum, chances] = [0, 0];
  for (const answer of possible) {
    const entry = { ...answer, id: recorded.id } as Entry;
    const state = step(before.state, entry);
    const chance = Math.exp(state.belief.logEvidence - from);
    if (!(chance > LEAST)) continue;
    chances += chance;
    sum += chance * judge(state, { ...before.ticket, entries: [...before.ticket.entries, entry] }).cost;
  }
  return sum / chances;
}

/** Answers less likely than this are left out, the others scaled up for them. */
const LEAST = 1e-3;

type Draft = Entry extends infer E ? (E extends Entry ? Omit<E, "id"> : never) : never;

/** Everything that one start or one look may show; nothing where that is not enumerated. */
function answersOf({ candidate, n }: Move["action"], { belief: { model } }: State): Draft[] {
  if (candidate.kind === "finding") {
    const { finding, on } = candidate;
    return finding.values.map(({ id }) => ({
      kind: "finding",
      finding: finding.id,
      value: id,
      ...(on !== null && { on }),
    }));
  }
  if (candidate.kind !== "starts" || n !== 1 || candidate.change) return [];
  const { conditions } = candidate;
  return model.outcomeIds.map((outcome) => ({ kind: "starts", conditions, trials: [{ outcome }] }));
}

function wordsOf({ kind, candidate, n }: Decision, { belief, place }: State): string {
  if (candidate) return titleOf(belief.model, place.setup, candidate, n, true, kind === "replace");
  return kind === "return" ? "Give it back unrepaired." : "Hand it back as it is.";
}
