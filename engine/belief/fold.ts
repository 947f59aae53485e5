/**
 * The fold: state before an entry → state after it, and what the entry taught.
 */
import { advance, knowing, readyFor, startBelief, type Belief } from "./belief.js";
import { findingEntropy, readingEntropy, sequenceEntropy, type Entropy } from "./expected.js";
import { letGo } from "./spare.js";
import { exposuresOf, type Model } from "./model.js";
import { activity, decibans, nothingAtWork, presence, type Odds } from "./summary.js";
import type { Step, TrialsStep } from "./steps.js";
import type { Entry, EntryOf } from "../ticket/schema.js";
import {
  compileEntry,
  intakePlace,
  findingTied,
  readingTied,
  startConditions,
  trialsStep,
  type Compiled,
  type Place,
} from "./compile.js";
import { setupKey } from "../ticket/setup.js";
import { classes } from "../ticket/conditions.js";
import type { EntryView } from "../weighing.js";

/** What the next entry needs. */
export interface State {
  belief: Belief;
  place: Place;
  /** the entries that come next, as far as they have been compiled: the belief's rules may have been made to hold them */
  ahead?: readonly Ahead[];
}

interface Ahead {
  entry: Entry;
  compiled: Compiled;
}

/** Starts that rules are made to hold at once: more would need larger rules, fewer would need them anew more often. */
const HELD = 200;

/** @param entries  the record that will be folded, as far as it is known */
export function startState(model: Model, entries: readonly Entry[] = []): State {
  const place = intakePlace(model);
  const record = compiledFrom(model, place, entries);
  const foreseen = stepsOf(record).flatMap((one) => (one.kind === "trials" ? [one.exposure] : []));
  const ahead = heldOf(record);
  return { belief: startBelief(model, stepsOf(ahead), foreseen), place, ahead };
}

/** @returns the state after the entry; `logEvidence` is −∞ where no hypothesis allows what was seen */
export function step(state: State, entry: Entry): State {
  const [next, ...ahead] = aheadOf(state, [entry]);
  return {
    belief: advance(state.belief, next!.compiled.steps),
    place: next!.compiled.place,
    ahead,
  };
}

/**
 * The same state on rules that hold the entry, so that what is said before and after it is equally exact.
 * @param coming  what is known to follow the entry: rules made anew hold as much of it as is worth while
 */
export function prepared(state: State, entry: Entry, coming: readonly Entry[] = []): State {
  const ahead = aheadOf(state, [entry, ...coming]);
  const [first, ...rest] = stepsOf(ahead);
  const isSilent = ahead[0]!.compiled.steps.length === 0;
  return { ...state, belief: isSilent ? state.belief : readyFor(state.belief, first!, rest), ahead };
}

/** What is compiled already where it is of these entries, so that the rules know its steps again. */
function aheadOf({ belief, place, ahead }: State, entries: readonly Entry[]): readonly Ahead[] {
  if (ahead?.[0] && ahead[0].entry === entries[0]) return ahead;
  return heldOf(compiledFrom(belief.model, place, entries));
}

function compiledFrom(model: Model, place: Place, entries: readonly Entry[]): Ahead[] {
  return entries.map((entry) => {
    const compiled = compileEntry(model, place, entry);
    place = compiled.place;
    return { entry, compiled };
  });
}

const stepsOf = (ahead: readonly Ahead[]): Step[] => ahead.flatMap(({ compiled }) => compiled.steps);

/** The first entry, and as many after it as rules are made to hold. */
function heldOf(ahead: readonly Ahead[]): Ahead[] {
  let starts = 0;
  const beyond = ahead.findIndex(({ compiled }, k) => {
    for (const one of compiled.steps) if (one.kind === "trials") for (const row of one.rows) starts += row.n;
    return k > 0 && starts > HELD;
  });
  return beyond < 0 ? [...ahead] : ahead.slice(0, beyond);
}

/** The same state on rules that answer questions about the next start, and about the given exposures. */
export function asking({ belief, place }: State, exposures: readonly Float64Array[]): State {
  const { exposure } = plannedStep(belief.model, place, startConditions(belief.model));
  return { belief: knowing(belief, [exposure, ...exposures]), place };
}

/** What people read of an entry. */
export function viewOfEntry(before: State, after: State, entry: Entry, expected: Entropy | null): EntryView {
  const { causes } = after.belief.model;
  const [old, now] = [presence(before.belief), presence(after.belief)];
  const logEvidence = after.belief.logEvidence - before.belief.logEvidence;
  const inPlay = causesInPlay(after);
  const active = activity(after.belief);
  const byCause = <T>(value: (i: number) => T) => Object.fromEntries(causes.map((c, i) => [c.id, value(i)]));
  return {
    id: entry.id,
    kind: entry.kind,
    logEvidence,
    surprise: logEvidence === 0 ? 0 : -logEvidence / Math.LN2,
    expected: expected?.bits ?? null,
    expectedError: expected ? expected.error : null,
    ledger: byCause((i) => weightOf(old, now, i)),
    ledgerUnlisted: weight(before.belief.unlistedMass, after.belief.unlistedMass),
    ledgerNone: weight(before.belief.mass[0]!, after.belief.mass[0]!),
    atWork: byCause((i) => (inPlay[i] ? active[i]! : 0)),
    present: byCause((i) => now.present[i]!),
    none: after.belief.mass[0]!,
    unlisted: after.belief.unlistedMass,
    nothingAtWork: nothingAtWork(after.belief, inPlay),
  };
}

function weightOf(old: Odds, now: Odds, i: number): number | null {
  const before = decibans(old.present[i]!, old.absent[i]!);
  const after = decibans(now.present[i]!, now.absent[i]!);
  return before === null || after === null ? null : after - before;
}

function weight(old: number, now: number): number | null {
  const [before, after] = [decibans(old, 1 - old), decibans(now, 1 - now)];
  return before === null || after === null ? null : after - before;
}

/** Causes with exposure in the machine as now fitted, under some class of the conditions; length C. */
export function causesInPlay({ belief, place }: State): Uint8Array {
  const { model } = belief;
  const exposures = classes(model.catalog).map((minutes) => exposuresOf(model, place.setup, minutes));
  return Uint8Array.from(model.causes, (_, i) => Number(exposures.some((e) => e[i]! > 0)));
}

/** The entropy of what an entry could have shown; null where it has none. */
export function expectationOf({ belief, place }: State, entry: Entry, seed: number): Entropy | null {
  switch (entry.kind) {
    case "starts":
      return startsExpectation(belief, place, entry, seed);
    case "finding": {
      if (compileEntry(belief.model, place, entry).steps.length === 0) return { bits: 0, error: 0 };
      const finding = belief.model.catalog.findings!.find((f) => f.id === entry.finding)!;
      return findingEntropy(belief, finding, findingTied(belief.model, place.setup, finding, entry.on));
    }
    case "reading": {
      const reading = belief.model.catalog.readings!.find((r) => r.id === entry.reading)!;
      return readingEntropy(belief, reading, readingTied(belief.model, place.setup, reading, entry.on));
    }
    default:
      return { bits: 0, error: 0 };
  }
}

/** Owner-reported starts have evidence but no expectation. */
function startsExpectation(
  belief: Belief,
  place: Place,
  entry: EntryOf<"starts">,
  seed: number,
): Entropy | null {
  if (entry.by === "owner" || (entry.trust ?? 1) !== 1) return null;
  const n = entry.trials.reduce((sum, t) => sum + (t.voided === undefined ? (t.n ?? 1) : 0), 0);
  if (n === 0) return { bits: 0, error: 0 };
  const { exposure, key } = plannedStep(belief.model, place, startConditions(belief.model, entry.conditions));
  const asked = knowing(belief, [exposure]);
  const entropy = sequenceEntropy(asked, exposure, key, n, seed);
  if (asked !== belief) letGo(asked.grid.values);
  return entropy;
}

/** A start in the setup at hand, under some conditions, with nothing seen yet. */
export function plannedStep(model: Model, place: Place, minutes: Record<string, number>): TrialsStep {
  return trialsStep(model, place, minutes, setupKey(place.setup, minutes, place.repairs, model), [], 1);
}
