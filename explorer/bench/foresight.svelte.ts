/**
 * What the record would say after another start, whatever comes of it: worked out while the machine is started again, so
 * that it is there when the press comes.
 */
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import type { OutcomeChance, Weighing } from "../../engine/weighing.js";
import type { WeighAnswer } from "../store/messages.js";

interface Asked {
  /** that may come */
  ticket: Ticket;
  /** null where it could not be worked out */
  answer: Promise<WeighAnswer | null>;
}

export class Foresight {
  /** what was said so far: it can be drawn ahead */
  said: Weighing[] = $state.raw([]);
  #asked: Asked[] = [];
  /** what was asked of the record before the one that has come */
  #former: Asked[] = [];

  /**
   * Asks for what may come, one after the other, until it is begun anew or a ticket has come.
   * @param soon   at once, for presses that follow each other
   * @param later  after a pause: they could keep those waiting
   */
  async begin(
    soon: readonly Ticket[],
    later: readonly Ticket[],
    ask: (ticket: Ticket) => Promise<WeighAnswer | null>,
    pause: () => Promise<void>,
  ): Promise<void> {
    const former = [...this.#asked, ...this.#former];
    const asked: Asked[] = (this.#asked = []);
    this.said = [];
    for (const ticket of [...soon, ...later]) {
      if (ticket === later[0]) await pause();
      if (this.#asked !== asked) return;
      const known = former.find((one) => isAlike(one.ticket, ticket))?.answer ?? Promise.resolve(null);
      const answer = known.then((said) => said ?? ask(ticket)).catch(() => null); // it will be said when it comes
      asked.push({ ticket, answer });
      const said = await answer;
      if (this.#asked === asked && said && "weighing" in said) this.said = [...this.said, said.weighing];
    }
    this.#former = [];
  }

  /** What was said of the ticket that has come, or is being worked out; null where nobody asked. Asks no further. */
  take(ticket: Ticket): Promise<WeighAnswer | null> | null {
    const found = this.#asked.find((one) => isAlike(one.ticket, ticket));
    this.#former = this.#asked;
    this.#asked = [];
    return found?.answer ?? null;
  }

  forget(): void {
    this.said = [];
  }
}

/** The likeliest first. */
export const byChance = (chances: readonly OutcomeChance[]): string[] =>
  [...chances].sort((x, y) => y.p - x.p).map(({ outcome }) => outcome);

/** Do two records of one ticket say the same of the machine? Clocks tell nothing of it, and a test writes its minutes later. */
function isAlike(one: Ticket, other: Ticket): boolean {
  const names = Object.keys({ ...one, ...other }) as (keyof Ticket)[];
  const { entries } = other;
  return (
    names.every((name) => name === "entries" || one[name] === other[name]) &&
    one.entries.length === entries.length &&
    one.entries.every((entry, k) => entry === entries[k] || contentOf(entry) === contentOf(entries[k]!))
  );
}

function contentOf({ at: _, minutes: __, ...rest }: Entry): string {
  if (rest.kind !== "starts") return JSON.stringify(rest);
  return JSON.stringify({ ...rest, trials: rest.trials.map(({ at: _, ...trial }) => trial) });
}
