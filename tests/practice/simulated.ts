/** Simulated tickets of the small machine: a truth from the prior, a record that does not look at it, what the engine says. */
import jstat from "jstat";
import { startState, step, type State } from "../../engine/belief/fold.js";
import type { Model } from "../../engine/belief/model.js";
import { alter, deliveredMachine, look, read, start, type Machine } from "../../engine/practice/machine.js";
import { drawIndex, seedOf, streamOf, Streams, type Uniform } from "../../engine/practice/streams.js";
import { drawTruth, type Truth } from "../../engine/practice/truth.js";
import type { Entry } from "../../engine/ticket/schema.js";

export interface Simulated {
  truth: Truth;
  entries: Entry[];
}

type Drafted = Entry extends infer E ? (E extends Entry ? Omit<E, "id"> : never) : never;

/** Changes and repairs of the small machine that a record may hold. */
const DONE: Drafted[] = [
  { kind: "change", fit: { A1: null, A2: "m1" } },
  { kind: "change", fit: { A1: "m2" } },
  { kind: "change", fit: { bay: "s2" } },
  { kind: "repair", repair: "clean" },
];

/** Ticket k of a seed. What is done and how often is drawn apart from the truth. */
export function simulated(model: Model, seed: number, k: number): Simulated {
  const own = seedOf(seed, `ticket ${k}`);
  const truth = drawTruth(model, streamOf(own, "truth"));
  const luck = new Streams(own);
  const chosen = streamOf(own, "protocol");
  const entries: Entry[] = [];
  let machine = deliveredMachine(truth);
  const note = (draft: Drafted) => entries.push({ ...draft, id: `e${entries.length + 1}` } as Entry);
  const startSome = () => {
    const conditions = { rest: chosen() < 0.5 ? "warm" : "cold" };
    const n = 1 + Math.floor(6 * chosen());
    const trials = Array.from({ length: n }, () => {
      const made = start(machine, conditions, luck.of("starts"), own);
      machine = made.machine;
      return { outcome: model.outcomeIds[made.outcome]! };
    });
    note({ kind: "starts", conditions, trials });
  };
  startSome();
  if (chosen() < 0.5) note(lookAt(model, machine, luck));
  if (chosen() < 0.8) {
    const done = { ...DONE[Math.floor(DONE.length * chosen())]!, id: "done" } as Entry;
    machine = alter(machine, done as Parameters<typeof alter>[1], luck);
    note(done);
    startSome();
  }
  return { truth, entries };
}

/** The finding or the reading that the small machine has, of the supply it came with. */
function lookAt(model: Model, machine: Machine, luck: Streams): Drafted {
  const { findings, readings } = model.catalog;
  if (luck.of("which look")() < 0.5) {
    const finding = findings![0]!;
    const value = look(machine, finding, null, luck.of("finding"));
    return { kind: "finding", finding: finding.id, value: finding.values[value]!.id };
  }
  const reading = readings![0]!;
  return {
    kind: "reading",
    reading: reading.id,
    on: "s1",
    value: read(machine, reading, "s1", luck.of("reading")),
  };
}

/** @param model  what the engine believes of machines, which may be wrong */
export const believed = (model: Model, entries: readonly Entry[]): State =>
  entries.reduce(step, startState(model, entries));

const { chisquare } = jstat.jStat as unknown as { chisquare: { cdf(x: number, degrees: number): number } };

/** P(a statistic at least this large | chi-square of so many degrees); jStat, good to about 1e-8. */
export const chanceOver = (statistic: number, degrees: number): number =>
  1 - chisquare.cdf(statistic, degrees);

/** Are the counts those of equal chances? Pearson's test. */
export function uniformity(counts: readonly number[]): { statistic: number; p: number } {
  const expected = counts.reduce((sum, x) => sum + x, 0) / counts.length;
  const statistic = counts.reduce((sum, x) => sum + (x - expected) ** 2 / expected, 0);
  return { statistic, p: chanceOver(statistic, counts.length - 1) };
}

export const pick = <T>(list: readonly T[], uniform: Uniform): T =>
  list[
    drawIndex(
      list.map(() => 1),
      uniform(),
    )
  ]!;
