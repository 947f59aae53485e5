/** A weigher fills the weights that it needs no more again: whatever is done to a record, it says what a new one says. */
import { expect, test } from "vitest";
import { seededUniform } from "../../engine/numeric/random.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { createWeigher, type Weigher } from "../../engine/weigh.js";
import type { Weighing } from "../../engine/weighing.js";
import { unwrap, workbench } from "../bench/workbench.js";

const { catalog, ticket } = workbench(8, 0, 2);
const parts = ticket.machine.parts.filter((part) => part.position !== undefined);

test.each([1, 2, 3, 4])("edits, advice and what may come in any order, seed %i", (seed) => {
  const uniform = seededUniform(seed);
  const below = (count: number) => Math.floor(uniform() * count);
  const kept = createWeigher(catalog);
  let entries: Entry[] = [];
  let made = 0;
  const fresh = () => entryOf(`e${++made}`, below);
  for (let turn = 0; turn < 25; turn++) {
    const at = below(entries.length + 1);
    const kind = below(6);
    if (kind < 3) entries = [...entries, fresh()];
    else if (kind === 3) entries = entries.slice(0, -1 - below(3));
    else entries = [...entries.slice(0, at), fresh(), ...entries.slice(at + below(2))];
    const advice = ([false, "next", true] as const)[below(3)]!;
    const said = weighed(kept, entries, advice);
    if (said === null)
      entries = []; // two findings contradict each other
    else expectSame(said, weighed(createWeigher(catalog), entries, advice)!);
    for (let k = below(3); k > 0; k--) weighed(kept, [...entries, fresh()], false);
  }
});

function entryOf(id: string, below: (count: number) => number): Entry {
  const kind = below(5);
  const { id: part, position } = parts[below(parts.length)]!;
  if (kind === 0) return { kind: "change", id, fit: { [position!]: below(2) ? part : null } };
  if (kind === 1) return { kind: "finding", id, finding: `f${below(30)}`, value: "nothing" };
  const outcome = ["clean", "clean", "s0", "s1", "s4"][below(5)]!;
  return {
    kind: "starts",
    id,
    trials: [{ outcome, n: 1 + below(3) }],
    ...(below(6) === 0 && { by: "owner" }),
  };
}

const withEntries = (entries: Entry[]): Ticket => ({ ...ticket, entries });

function weighed(weigher: Weigher, entries: Entry[], advice: boolean | "next"): Weighing | null {
  const answer = weigher.weigh(withEntries(entries), { advice });
  return "issues" in answer ? null : unwrap(answer).weighing;
}

/** As good as rules of a record weighed at once and of one weighed as it came agree. */
function expectSame(one: Weighing, other: Weighing): void {
  const figures = ({ logEvidence, none, unlisted, predictive, causes, entries }: Weighing) => [
    logEvidence,
    none.p,
    unlisted.p,
    ...predictive.map(({ p }) => p),
    ...[...causes].sort((x, y) => x.id.localeCompare(y.id)).flatMap((c) => [c.present.p, c.atWork.p]),
    ...entries.flatMap((entry) => [entry.logEvidence, ...Object.values(entry.atWork)]),
  ];
  const wanted = figures(other);
  figures(one).forEach((figure, k) => expect(Math.abs(figure - wanted[k]!)).toBeLessThan(1e-9));
}
