/**
 * Candidates: what could be done next, from catalog × machine × spares, seen from the arrangement now on the bench.
 */
import type { Finding, Reading, Repair, Target } from "../catalog/schema.js";
import type { State } from "../belief/fold.js";
import { CLEAN, type Model } from "../belief/model.js";
import { activity } from "../belief/summary.js";
import type { Entry, EntryOf } from "../ticket/schema.js";
import { changed, fittedNow, intakeSetup, isHere, OWN, type Setup } from "../ticket/setup.js";

export type Change = Pick<EntryOf<"change">, "fit" | "settings" | "in">;

/** Without the keys that are not stated. */
export const plainChange = (
  change: Change,
): { fit?: Record<string, string | null>; settings?: Record<string, string>; in?: string } =>
  Object.fromEntries(Object.entries(change).filter(([, value]) => value !== undefined));

/** A repair and the part or position it is made on; null for the machine. */
export interface RepairOn {
  repair: Repair;
  on: string | null;
}

export type Candidate =
  | {
      kind: "starts" | "repair";
      change: Change | null;
      repair: RepairOn | null;
      /** condition id → class id, those that differ from what holds by default */
      conditions: Record<string, string>;
    }
  | { kind: "finding"; finding: Finding; on: string | null }
  | { kind: "reading"; reading: Reading; on: string | null };

/** More than this would be more than anybody reads; arrangements are the last to be named. */
const MOST = 240;

/** The candidates that are weighed. */
export const candidatesOf = (state: State, entries: readonly Entry[]): Candidate[] =>
  everyCandidate(state, entries).slice(0, MOST);

/** How many more there are, which nobody weighs. */
export const droppedOf = (state: State, entries: readonly Entry[]): number =>
  Math.max(0, everyCandidate(state, entries).length - MOST);

/** Every candidate: looks, starts as it is, repairs, other arrangements. */
function everyCandidate(state: State, entries: readonly Entry[]): Candidate[] {
  const { model } = state.belief;
  const setup = state.place.setup;
  const telling = tellingConditions(model, entries);
  const asIs = everyCondition(model).map((conditions): Candidate => ({
    kind: "starts",
    change: null,
    repair: null,
    conditions,
  }));
  const moved = arrangements(model, setup).flatMap((change) =>
    telling.map((conditions): Candidate => ({ kind: "starts", change, repair: null, conditions })),
  );
  return [...looks(state), ...asIs, ...repairs(model, setup, telling), ...moved];
}

// conditions

/** The defaults, and each class that differs from them in one condition. */
function everyCondition({ catalog }: Model): Record<string, string>[] {
  const single = (catalog.conditions ?? []).flatMap((c) =>
    c.classes.filter((x) => x.id !== c.default).map((x) => ({ [c.id]: x.id })),
  );
  return [{}, ...single];
}

/** The defaults, and the conditions under which a start has stopped: where the fault is known to show. */
export function tellingConditions({ catalog }: Model, entries: readonly Entry[]): Record<string, string>[] {
  const found = new Map<string, Record<string, string>>([["{}", {}]]);
  for (const entry of entries) {
    if (
      entry.kind !== "starts" ||
      !entry.trials.some((t) => t.voided === undefined && mayHaveStopped(t.outcome))
    )
      continue;
    const named: Record<string, string> = {};
    for (const condition of catalog.conditions ?? []) {
      const value = entry.conditions?.[condition.id];
      const id = typeof value === "number" ? condition.classes.findLast((c) => value >= c.from)!.id : value;
      if (id !== undefined && id !== condition.default) named[condition.id] = id;
    }
    found.set(JSON.stringify(named), named);
  }
  return [...found.values()];
}

const mayHaveStopped = (outcome: string | readonly string[]) => [outcome].flat().some((o) => o !== CLEAN);

// arrangements

/** Changes that are each one idea: a spare in, a part out, a part elsewhere, two swapped, a setting, another machine. */
export function arrangements(model: Model, setup: Setup): Change[] {
  if (setup.in !== OWN) return comingHome(model, setup);
  const all = [
    ...substitutions(model, setup),
    ...removals(model, setup),
    ...relocations(model, setup),
    ...settingChanges(model, setup),
    ...donorTrials(model, setup),
    ...asItCame(model, setup),
  ];
  const seen = new Set([JSON.stringify(setup)]);
  return all.filter((change) => {
    const key = JSON.stringify(changed(setup, change));
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

const fitted = (setup: Setup) =>
  Object.entries(fittedNow(setup)).flatMap(([position, part]) => (part === null ? [] : [{ position, part }]));

const partOf = ({ ticket }: Model, id: string) => ticket.machine.parts.find((p) => p.id === id)!;
const kindOf = (model: Model, part: string) => partOf(model, part).kind;

/** A part from the shelf, or one that could be bought, in place of a fitted one of its kind. */
export function substitutions(model: Model, setup: Setup): Change[] {
  const inUse = fitted(setup);
  const shelf = model.ticket.machine.parts.filter((p) => isHere(p) && !inUse.some((x) => x.part === p.id));
  return shelf.flatMap((spare) =>
    inUse
      .filter((x) => kindOf(model, x.part) === spare.kind)
      .map((x) => ({ fit: { [x.position]: spare.id } })),
  );
}

/** One part out, or all of a kind but one, where the machine can be tried without. */
function removals(model: Model, setup: Setup): Change[] {
  const { catalog } = model;
  const inUse = fitted(setup);
  const needed = new Set(catalog.positions.filter((p) => p.needed).map((p) => p.id));
  return inUse.flatMap(({ position, part }): Change[] => {
    const kind = kindOf(model, part);
    const others = inUse.filter((x) => x.position !== position && kindOf(model, x.part) === kind);
    const needsOne = catalog.parts.find((k) => k.id === kind)?.needsOne ?? false;
    const out: Change[] = [];
    if (!needed.has(position) && !(needsOne && others.length === 0)) out.push({ fit: { [position]: null } });
    if (others.length > 1 && others.every((x) => !needed.has(x.position)))
      out.push({ fit: Object.fromEntries(others.map((x) => [x.position, null])) });
    return out;
  });
}

/** A part to an empty position of its kind, or two of a kind swapped. */
function relocations(model: Model, setup: Setup): Change[] {
  const inUse = fitted(setup);
  return inUse.flatMap(({ position, part }, k): Change[] => {
    const kind = kindOf(model, part);
    const places = model.catalog.positions.filter((p) => p.accepts === kind && p.id !== position);
    const empty = places.filter((p) => !inUse.some((x) => x.position === p.id));
    const later = inUse.slice(k + 1).filter((x) => kindOf(model, x.part) === kind);
    return [
      ...empty.map((p) => ({ fit: { [position]: null, [p.id]: part } })),
      ...later.map((x) => ({ fit: { [position]: x.part, [x.position]: part } })),
    ];
  });
}

function settingChanges({ catalog }: Model, setup: Setup): Change[] {
  return (catalog.settings ?? [])
    .filter((s) => s.test !== false)
    .flatMap((s) =>
      s.values.filter((v) => v.id !== setup.settings[s.id]).map((v) => ({ settings: { [s.id]: v.id } })),
    );
}

/** A fitted part tried in a known-good machine. */
function donorTrials(model: Model, setup: Setup): Change[] {
  return (model.ticket.machine.donors ?? []).flatMap((donor) =>
    fitted(setup).flatMap(({ position, part }) =>
      (donor.parts ?? []).some((p) => p.position === position && p.kind === kindOf(model, part)) ||
      model.catalog.positions.find((p) => p.id === position)?.on !== undefined
        ? [{ in: donor.id, fit: { [position]: part } }]
        : [],
    ),
  );
}

/** From a donor, everything back to where it came from in the ticket's own machine. */
function comingHome(model: Model, setup: Setup): Change[] {
  const intake = intakeSetup(model);
  const home = Object.entries(intake.fit).filter(
    ([position, part]) => part !== null && setup.fit[position] !== part,
  );
  return [{ in: OWN, fit: Object.fromEntries(home) }];
}

/** The arrangement it came in with, if it is another now and all of it is still here. */
function asItCame(model: Model, setup: Setup): Change[] {
  const intake = intakeSetup(model);
  const fit = Object.fromEntries(
    Object.entries(intake.fit).filter(([position, part]) => setup.fit[position] !== part),
  );
  const isGone = (id: string | null) => id !== null && !isHere(partOf(model, id));
  return Object.keys(fit).length === 0 || Object.values(fit).some(isGone) ? [] : [{ fit }];
}

// repairs, findings, readings

function targets(model: Model, setup: Setup, target: Target): (string | null)[] {
  if (target === "machine") return [null];
  if ("part" in target)
    return fitted(setup)
      .filter((x) => kindOf(model, x.part) === target.part)
      .map((x) => x.part);
  if (setup.in !== OWN) return [];
  return model.catalog.positions
    .filter((p) => p.kind === target.position && setup.fit[p.id] !== null)
    .map((p) => p.id);
}

/** Every repair, on each thing it can be made on. */
export const repairsOn = (model: Model, setup: Setup): RepairOn[] =>
  (model.catalog.repairs ?? []).flatMap((repair) =>
    targets(model, setup, repair.on).map((on) => ({ repair, on })),
  );

function repairs(model: Model, setup: Setup, telling: Record<string, string>[]): Candidate[] {
  return repairsOn(model, setup)
    .filter(({ repair }) => repair.test !== false)
    .flatMap((repair) =>
      telling.map((conditions): Candidate => ({ kind: "repair", change: null, repair, conditions })),
    );
}

/** Findings that do not hold already, and readings, each on what it can be made on. */
function looks({ belief, place }: State): Candidate[] {
  const { model } = belief;
  const active = activity(belief);
  const speaksOf = (effects: object) =>
    model.causes.some((c, i) => active[i]! > 0 && Object.hasOwn(effects, c.template));
  const findings = (model.catalog.findings ?? [])
    .filter((f) => speaksOf(f.causes))
    .flatMap((finding) =>
      targets(model, place.setup, finding.on)
        .filter((on) => !place.found.has(`${finding.id} ${on ?? ""}`))
        .map((on): Candidate => ({ kind: "finding", finding, on })),
    );
  const readings = (model.catalog.readings ?? [])
    .filter((r) => speaksOf(r.causes))
    .flatMap((reading) =>
      targets(model, place.setup, reading.on).map((on): Candidate => ({ kind: "reading", reading, on })),
    );
  return [...findings, ...readings];
}
