/**
 * The fold: state before an entry → state after it, and what the entry taught.
 */
import { advance, knowing, readyFor, startBelief, type Belief } from "./belief.js";
import { findingEntropy, readingEntropy, sequenceEntropy, type Entropy } from "./expected.js";
import { exposuresOf, type Model } from "./model.js";
import { activity, decibans, nothingAtWork, presence, type Odds } from "./summary.js";
import type { TrialsStep } from "./steps.js";
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
  /** an entry whose steps the belief's rules were made to hold, compiled */
  ready?: { entry: Entry; compiled: Compiled };
}

/** @param entries  the record that will be folded, as far as it is known */
export function startState(model: Model, entries: readonly Entry[] = []): State {
  const foreseen: Float64Array[] = [];
  let place = intakePlace(model);
  for (const entry of entries) {
    const compiled = compileEntry(model, place, entry);
    for (const one of compiled.steps) if (one.kind === "trials") foreseen.push(one.exposure);
    place = compiled.place;
  }
  return { belief: startBelief(model, foreseen), place: intakePlace(model) };
}

/** @returns the state after the entry; `logEvidence` is −∞ where no hypothesis allows what was seen */
export function step({ belief, place, ready }: State, entry: Entry): State {
  const compiled = ready?.entry === entry ? ready.compiled : compileEntry(belief.model, place, entry);
  return { belief: compiled.steps.reduce(advance, belief), place: compiled.place };
}

/** The same state on rules that hold the entry, so that what is said before and after it is equally exact. */
export function prepared({ belief, place }: State, entry: Entry): State {
  const compiled = compileEntry(belief.model, place, entry);
  return { belief: compiled.steps.slice(0, 1).reduce(readyFor, belief), place, ready: { entry, compiled } };
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
  return sequenceEntropy(knowing(belief, [exposure]), exposure, key, n, seed);
}

/** A start in the setup at hand, under some conditions, with nothing seen yet. */
export function plannedStep(model: Model, place: Place, minutes: Record<string, number>): TrialsStep {
  return trialsStep(model, place, minutes, setupKey(place.setup, minutes, place.repairs, model), [], 1);
}
