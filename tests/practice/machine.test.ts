/** The simulated machine answers as often as the engine says it would: drawn one way, weighed the other. */
import { describe, expect, test } from "vitest";
import { startState, step, type State } from "../../engine/belief/fold.js";
import { exposuresOf } from "../../engine/belief/model.js";
import { startConditions } from "../../engine/belief/compile.js";
import { predictive } from "../../engine/belief/predictive.js";
import { groupsOf } from "../../engine/belief/moments.js";
import { findingTied, readingTied } from "../../engine/belief/compile.js";
import { findingAnswers, readingAnswers, type LookAnswer } from "../../engine/plan/looks.js";
import type { Entry } from "../../engine/ticket/schema.js";
import { setupKey } from "../../engine/ticket/setup.js";
import {
  alter,
  comebackChance,
  deliveredMachine,
  look,
  read,
  showChance,
  start,
  type Machine,
} from "../../engine/practice/machine.js";
import { seedOf, streamOf, Streams } from "../../engine/practice/streams.js";
import { drawTruth } from "../../engine/practice/truth.js";
import { misfit, model, ticket } from "./small.js";

const DRAWS = 100_000;
const ours = model();
const { outcomeIds } = ours;

/** Counts of what `seen` gives on machines drawn from the prior. */
function drawn(
  cells: number,
  seen: (machine: Machine, luck: Streams, seed: number) => number,
  draws = DRAWS,
): Float64Array {
  const counts = new Float64Array(cells);
  for (let k = 0; k < draws; k++) {
    const seed = seedOf(7, `machine ${k}`);
    const machine = deliveredMachine(drawTruth(ours, streamOf(seed, "truth")));
    const cell = seen(machine, new Streams(seed), seed);
    counts[cell] = counts[cell]! + 1;
  }
  return counts;
}

/** P(record), for starts in order. */
const chanceOf = (entries: Entry[]): number =>
  Math.exp(entries.reduce(step, startState(ours, entries)).belief.logEvidence);

const once = (id: string, outcome: number): Entry => ({
  kind: "starts",
  id,
  trials: [{ outcome: outcomeIds[outcome]! }],
});

describe("starts", () => {
  const conditions = { rest: "cold" };
  const state = startState(ours);
  const minutes = startConditions(ours, conditions);
  const { setup } = state.place;
  const expected = predictive(
    state.belief,
    exposuresOf(ours, setup, minutes),
    setupKey(setup, minutes, 0, ours),
  );
  const counts = drawn(
    outcomeIds.length,
    (machine, luck, seed) => start(machine, conditions, luck.of("starts"), seed).outcome,
  );

  test("a first start ends as often in each outcome as the engine predicts", () =>
    expect(misfit(counts, expected)).toBeLessThan(1));

  test("a prediction half a percent off is seen to be off", () => {
    const off = [expected[0]! + 0.005, expected[1]!, expected[2]! - 0.005];
    expect(misfit(counts, off)).toBeGreaterThan(1);
  });
});

/** A start, something done, another start: nine ways it can go. */
function pairs(middle: Extract<Entry, { kind: "change" | "repair" }>) {
  const counts = drawn(9, (machine, luck, seed) => {
    const first = start(machine, undefined, luck.of("starts"), seed);
    const second = start(alter(first.machine, middle, luck), undefined, luck.of("starts"), seed);
    return 3 * first.outcome + second.outcome;
  });
  const chances = Array.from({ length: 9 }, (_, k) =>
    chanceOf([once("a", Math.floor(k / 3)), middle, once("b", k % 3)]),
  );
  return { counts, chances };
}

describe("a start before and after", () => {
  test("a move that reseats: the same rate, and cured as often as told", () => {
    const { counts, chances } = pairs({ kind: "change", id: "m", fit: { A1: null, A2: "m1" } });
    expect(chances.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 9);
    expect(misfit(counts, chances)).toBeLessThan(1);
  });

  test("a repair", () => {
    const { counts, chances } = pairs({ kind: "repair", id: "m", repair: "clean" });
    expect(misfit(counts, chances)).toBeLessThan(1);
    // a repair that is not made is seen to be missing
    const without = Array.from({ length: 9 }, (_, k) =>
      chanceOf([once("a", Math.floor(k / 3)), once("b", k % 3)]),
    );
    expect(misfit(counts, without)).toBeGreaterThan(1);
  });
});

/** Chances of a look's answers under the belief at intake. */
function answerChances(state: State, answers: LookAnswer[], tied: Uint8Array): number[] {
  return answers.map((answer) =>
    groupsOf(state.belief).reduce(
      (sum, { members, mass }) => sum + mass * answer.given(members.filter((i) => tied[i] === 1)),
      state.belief.unlistedMass * answer.givenUnlisted,
    ),
  );
}

describe("looks", () => {
  const state = startState(ours);
  const { belief, place } = state;

  test("a finding shows each value as often as the engine says", () => {
    const finding = ours.catalog.findings![0]!;
    const counts = drawn(2, (machine, luck) => look(machine, finding, null, luck.of("finding")));
    const tied = findingTied(ours, place.setup, finding, undefined);
    expect(misfit(counts, answerChances(state, findingAnswers(belief, finding), tied))).toBeLessThan(1);
  });

  test("a reading lies under, in and over the band as often as the engine says", () => {
    const reading = { ...ours.catalog.readings![0]!, band: { low: 4.95, high: 5.1 } };
    const counts = drawn(3, (machine, luck) => {
      const value = read(machine, reading, "s1", luck.of("reading"));
      return value < 4.95 ? 0 : value <= 5.1 ? 1 : 2;
    });
    const tied = readingTied(ours, place.setup, reading, "s1");
    expect(misfit(counts, answerChances(state, readingAnswers(belief, reading), tied))).toBeLessThan(1);
  });
});

/** A machine with one cause of that rate. */
const at = (cause: string, rate: number, relapse = 0): Machine => {
  const i = ours.causes.findIndex((c) => c.id === cause);
  return deliveredMachine({ model: ours, causes: [i], rates: [rate], unlisted: null, drift: 0, relapse });
};

describe("a contact that touching cures for a while", () => {
  const RELAPSE = 0.2;
  const loose = at("loose-slot@A1", 1, RELAPSE);
  const { place } = loose;
  const fit = { ...place.setup.fit, A1: null };
  const open: Machine = { ...loose, place: { ...place, setup: { ...place.setup, fit } } };
  const moved = { kind: "change", id: "c", fit: { A1: "m1" } } as const;
  const cleaned = { kind: "repair", id: "r", repair: "clean" } as const;
  const quieted: Machine = { ...loose, active: [], quieted: [0] };

  test("is quieted by a move as often as reseating clears it, and never gone", () => {
    const cells = new Float64Array(2);
    for (let k = 0; k < 20_000; k++) {
      const out = alter(open, moved, new Streams(k));
      expect(out.active.length + out.quieted.length).toBe(1);
      cells[out.quieted.length] = cells[out.quieted.length]! + 1;
    }
    expect(misfit(cells, Float64Array.of(0.4, 0.6))).toBeLessThan(1);
  });

  test("comes back after a geometric number of starts", () => {
    const LATER = 12;
    const cells = new Float64Array(LATER + 1);
    for (let k = 0; k < 20_000; k++) {
      let [machine, n] = [quieted, 0];
      const luck = streamOf(k, "starts");
      for (; n < LATER; n++) if ((machine = start(machine, {}, luck, k).machine).active.length === 1) break;
      cells[n] = cells[n]! + 1;
    }
    const chances = Float64Array.from(cells, (_, n) => (1 - RELAPSE) ** n * (n < LATER ? RELAPSE : 1));
    expect(misfit(cells, chances)).toBeLessThan(1);
  });

  test("is mended for good by what does more than touching it", () => {
    const mended = Array.from({ length: 50 }, (_, k) => alter(quieted, cleaned, new Streams(k)));
    expect(mended.some((m) => m.quieted.length === 0 && m.active.length === 0)).toBe(true);
    expect(mended.every((m) => m.active.length === 0)).toBe(true);
  });

  test("has a comeback once it is bad again: of a hard one 1 − (1 − relapse)³⁰", () => {
    const terms = { ...ticket(), release: { perDay: 1, days: 30 } };
    expect(comebackChance(quieted, terms, 1)).toBeCloseTo(1 - (1 - RELAPSE) ** 30, 12);
  });
});

describe("a comeback", () => {
  const terms = { ...ticket(), release: { perDay: 1, days: 30 } };

  test("of a cause that shows one time in ten: 1 − 0.9³⁰", () =>
    expect(comebackChance(at("tired-module@m1", 0.1), terms, 1)).toBeCloseTo(1 - 0.9 ** 30, 12));

  test("is out of the question where the part lies on the shelf", () => {
    const out = alter(
      at("weak-supply@s1", 1),
      { kind: "change", id: "c", fit: { bay: "s2" } },
      new Streams(1),
    );
    expect(out.active).toHaveLength(1);
    expect(comebackChance(out, terms, 1)).toBe(0);
  });

  test("no exposure, no chance to show; a hard fault shows every time", () => {
    expect(showChance(0.7, 0)).toBe(0);
    expect(showChance(1, 0.3)).toBe(1);
    expect(showChance(0.5, 2)).toBeCloseTo(0.75, 15);
  });
});
