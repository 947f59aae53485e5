/**
 * Entries → steps: what each entry of a record does to a belief, knowing the setup that holds at its place.
 */
import type { Finding, Reading, Repair, Target } from "../catalog/schema.js";
import { numberOf } from "../catalog/figures.js";
import type { Cause } from "../catalog/expand.js";
import { exposuresOf, type Model } from "./model.js";
import type { LeaveStep, LookStep, Step, TrialsStep } from "./steps.js";
import { findingChances, logNormal, logReadingDensity, logSum, slipOf } from "./looks.js";
import type { Entry, EntryOf, Trial } from "../ticket/schema.js";
import {
  changed,
  conditionMinutes,
  fittedNow,
  insertions,
  intakeSetup,
  isFitted,
  OWN,
  setupKey,
  touchedContacts,
  type Setup,
} from "../ticket/setup.js";
import { readingValue } from "../ticket/units.js";

/** Where the record stands. */
export interface Place {
  setup: Setup;
  /** explicit repairs so far */
  repairs: number;
  /** findings that still hold: finding and target → value */
  found: ReadonlyMap<string, string>;
  /** setups in which starts were made */
  tried: readonly Setup[];
}

export const intakePlace = (model: Model): Place => ({
  setup: intakeSetup(model),
  repairs: 0,
  found: new Map(),
  tried: [],
});

export interface Compiled {
  steps: Step[];
  /** the place after the entry */
  place: Place;
}

const OWNER_TRUST = 0.5;

export function compileEntry(model: Model, place: Place, entry: Entry): Compiled {
  switch (entry.kind) {
    case "starts":
      return {
        steps: trialSteps(model, place, entry),
        place: place.tried.includes(place.setup) ? place : { ...place, tried: [...place.tried, place.setup] },
      };
    case "finding":
      return compileFinding(model, place, entry);
    case "reading":
      return { steps: [readingStep(model, place, entry)], place };
    case "change":
      return compileChange(model, place, entry);
    case "repair":
      return compileRepair(model, place, entry);
    case "intake":
    case "note":
    case "worksheet":
    case "release":
      return { steps: [], place };
  }
}

// starts

/** Rows of one entry, apart where a run under load stopped at a minute of its own. */
function trialSteps(model: Model, place: Place, entry: EntryOf<"starts">): TrialsStep[] {
  const planned = startConditions(model, entry.conditions);
  const trust = entry.trust ?? (entry.by === "owner" ? OWNER_TRUST : 1);
  const byMinute = new Map<number | undefined, Trial[]>();
  for (const trial of entry.trials) {
    if (trial.voided !== undefined) continue;
    const minute = Object.hasOwn(planned, LOAD) ? trial.minute : undefined;
    byMinute.set(minute, [...(byMinute.get(minute) ?? []), trial]);
  }
  return [...byMinute].map(([minute, trials]) => {
    // a run that stopped early had the exposure of the minutes it ran
    const minutes = minute === undefined ? planned : { ...planned, [LOAD]: minute };
    return trialsStep(
      model,
      place,
      minutes,
      setupKey(place.setup, planned, place.repairs, model),
      rowsOf(model, trials),
      trust,
    );
  });
}

/** The condition that a run under load is measured by. */
const LOAD = "load";

export const startConditions = (
  model: Model,
  stated?: Record<string, string | number>,
): Record<string, number> => conditionMinutes(model.catalog, model.ticket.machine.conditions, stated);

export function trialsStep(
  model: Model,
  place: Pick<Place, "setup">,
  minutes: Record<string, number>,
  key: string,
  rows: TrialsStep["rows"],
  trust: number,
): TrialsStep {
  return { kind: "trials", exposure: exposuresOf(model, place.setup, minutes), rows, trust, key };
}

/** One row for each distinct outcome or set of outcomes, in the order they first occur. */
function rowsOf(model: Model, trials: readonly Trial[]): TrialsStep["rows"] {
  const rows = new Map<string, { wanted: Uint8Array; n: number }>();
  for (const { outcome, n } of trials) {
    const ids = typeof outcome === "string" ? [outcome] : outcome;
    const wanted = Uint8Array.from(model.outcomeIds, (id) => Number(ids.includes(id)));
    const key = wanted.join("");
    const row = rows.get(key) ?? { wanted, n: 0 };
    row.n += n ?? 1;
    rows.set(key, row);
  }
  return [...rows.values()];
}

// findings and readings

/** Causes tied to what was looked at: those naming the part or position, or, on the machine, those fitted now. */
export function tiedCauses(model: Model, setup: Setup, target: Target, on: string | undefined): Uint8Array {
  return Uint8Array.from(model.causes, (cause) => Number(isTied(cause, setup, target, on)));
}

function isTied(cause: Cause, setup: Setup, target: Target, on: string | undefined): boolean {
  if (target === "machine") return isFitted(cause, setup);
  if ("part" in target) return cause.part === on;
  return cause.position === on && isFitted(cause, setup);
}

const findingKey = (entry: EntryOf<"finding">) => `${entry.finding} ${entry.on ?? ""}`;

/** The value an earlier entry recorded for the same thing with nothing done to it since, or undefined. */
export const heldFinding = (place: Place, entry: EntryOf<"finding">): string | undefined =>
  place.found.get(findingKey(entry));

function compileFinding(model: Model, place: Place, entry: EntryOf<"finding">): Compiled {
  if (heldFinding(place, entry) !== undefined) return { steps: [], place };
  const finding = model.catalog.findings!.find((f) => f.id === entry.finding)!;
  const found = new Map(place.found).set(findingKey(entry), entry.value);
  const value = finding.values.findIndex((v) => v.id === entry.value);
  return { steps: [findingStep(model, place.setup, finding, entry.on, value)], place: { ...place, found } };
}

export function findingStep(
  model: Model,
  setup: Setup,
  finding: Finding,
  on: string | undefined,
  value: number,
): LookStep {
  const base = findingChances(finding, [])[value]!;
  return {
    kind: "look",
    tied: findingTied(model, setup, finding, on),
    logLikelihood: (active) =>
      Math.log(
        findingChances(
          finding,
          active.map((i) => model.causes[i]!),
        )[value]!,
      ),
    logUnlisted: Math.log(0.5 * base + 0.5 / finding.values.length),
  };
}

function readingStep(model: Model, place: Place, entry: EntryOf<"reading">): LookStep {
  const reading = model.catalog.readings!.find((r) => r.id === entry.reading)!;
  const value = readingValue(entry.value, reading.unit)!;
  return {
    kind: "look",
    tied: readingTied(model, place.setup, reading, entry.on),
    logLikelihood: (active) =>
      logReadingDensity(
        reading,
        active.map((i) => model.causes[i]!),
        value,
      ),
    logUnlisted: logUnlistedReading(reading, value),
  };
}

/** Causes that take part in a finding: tied to what is looked at, and with an effect on it. */
export const findingTied = (
  model: Model,
  setup: Setup,
  finding: Finding,
  on: string | undefined,
): Uint8Array => tiedWith(finding, model, setup, on);

export const readingTied = (
  model: Model,
  setup: Setup,
  reading: Reading,
  on: string | undefined,
): Uint8Array => tiedWith(reading, model, setup, on);

const tiedWith = (
  look: { on: Target; causes: object },
  model: Model,
  setup: Setup,
  on: string | undefined,
): Uint8Array =>
  Uint8Array.from(model.causes, (cause) =>
    Number(Object.hasOwn(look.causes, cause.template) && isTied(cause, setup, look.on, on)),
  );

/** Half healthy (with the slip that every reading has), half uniform over the range. */
function logUnlistedReading(reading: Reading, value: number): number {
  const [low, high] = reading.range;
  const slip = slipOf(reading);
  const healthy = logNormal(value, numberOf(reading.healthy.mean), numberOf(reading.healthy.sd));
  return logSum([
    Math.log(0.5) + Math.log1p(-slip) + healthy,
    Math.log(0.5 * slip + 0.5) - Math.log(high - low),
  ]);
}

// changes and repairs

function compileChange(model: Model, place: Place, entry: EntryOf<"change">): Compiled {
  const setup = changed(place.setup, entry);
  const touched = touchedContacts(model.causes, place.setup, setup, model);
  const found = stillHolding(place.found, model, (target, on) =>
    changeTouches(model, place.setup, setup, target, on),
  );
  return {
    steps: leaveSteps(model, (i) => (touched.includes(i) ? model.causes[i]!.reseat : 0)),
    place: { ...place, setup, found },
  };
}

function compileRepair(model: Model, place: Place, entry: EntryOf<"repair">): Compiled {
  const repair = model.catalog.repairs!.find((r) => r.id === entry.repair)!;
  const efficacy = repairEfficacy(model, place.setup, repair, entry.on);
  const setup = repair.sets ? changed(place.setup, { settings: repair.sets }) : place.setup;
  const found = stillHolding(place.found, model, (target, on) => {
    if (target === "machine" || (entry.on !== undefined && entry.on === on)) return true;
    return tiedCauses(model, place.setup, target, on).some((tied, i) => tied === 1 && efficacy[i]! > 0);
  });
  const steps = leaveSteps(model, (i) => efficacy[i]!);
  return { steps, place: { ...place, setup, repairs: place.repairs + 1, found } };
}

/** η of each cause under a repair made on a part, a position or the machine. */
export function repairEfficacy(
  model: Model,
  setup: Setup,
  repair: Repair,
  on: string | undefined,
): Float64Array {
  const tied = tiedCauses(model, setup, repair.on, on);
  return Float64Array.from(model.causes, (cause, i) =>
    tied[i] && Object.hasOwn(repair.clears, cause.template) ? numberOf(repair.clears[cause.template]!) : 0,
  );
}

function leaveSteps(model: Model, efficacyOf: (i: number) => number): LeaveStep[] {
  const efficacy = Float64Array.from(model.causes, (_, i) => efficacyOf(i));
  return efficacy.some((eta) => eta > 0) ? [{ kind: "leave", efficacy }] : [];
}

/** Findings whose object was neither repaired nor changed. */
function stillHolding(
  found: ReadonlyMap<string, string>,
  model: Model,
  disturbed: (target: Target, on: string | undefined) => boolean,
): Map<string, string> {
  return new Map(
    [...found].filter(([key]) => {
      const [id, on] = key.split(" ");
      const finding = model.catalog.findings!.find((f) => f.id === id)!;
      return !disturbed(finding.on, on || undefined);
    }),
  );
}

function changeTouches(
  model: Model,
  before: Setup,
  after: Setup,
  target: Target,
  on: string | undefined,
): boolean {
  if (target === "machine") return true;
  const positions = Object.keys({ ...fittedNow(before), ...fittedNow(after) });
  const moved = positions.filter((p) => fittedNow(before)[p] !== fittedNow(after)[p]);
  const inserted = insertions(before, after, model);
  if ("position" in target) return moved.includes(on!) || inserted.some((x) => x.position === on);
  return (
    inserted.some((x) => x.part === on) ||
    moved.some((p) => fittedNow(before)[p] === on) ||
    (before.in !== after.in && (before.in === OWN) !== (after.in === OWN))
  );
}
