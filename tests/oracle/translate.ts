/**
 * A ticket in the project's file format, spelled out for the oracle: sections 3, 6 and 7 written apart from the engine.
 *
 * Reads the plain JSON of a ticket that carries its own catalog and is known to be valid.
 */
import { betaPrior, gammaPrior, numberOf } from "../../engine/catalog/figures.js";
import type { Catalog, CauseTemplate, Finding, Reading } from "../../engine/catalog/schema.js";
import type { Entry, Part, Ticket, Trial } from "../../engine/ticket/schema.js";
import type { DenseCause, DenseModel, DenseStep } from "./dense.js";
import { logGamma } from "./halfline.js";

/** A concrete cause and what it is tied to. */
export interface Tied {
  id: string;
  template: CauseTemplate;
  part: string | null;
  position: string | null;
  donor: string | null;
  chance: number;
}

export interface Arrangement {
  in: string;
  /** the fit of the ticket's machine and of each donor: position → part of ours, null for empty */
  fits: Record<string, Record<string, string | null>>;
  settings: Record<string, string>;
  repairs: number;
}

export interface Passage {
  entry: Entry;
  /** steps of the record before and after this entry */
  from: number;
  to: number;
  before: Arrangement;
  after: Arrangement;
}

export interface Translation {
  model: DenseModel;
  causes: Tied[];
  steps: DenseStep[];
  passages: Passage[];
  /** what is fitted after the last entry */
  last: Arrangement;
  world: World;
}

export interface World {
  ticket: Ticket;
  catalog: Catalog;
  causes: Tied[];
}

export function translate(ticket: Ticket): Translation {
  const catalog = ticket.catalog as Catalog;
  const causes = concreteCauses(ticket, catalog);
  const world = { ticket, catalog, causes };
  const steps: DenseStep[] = [];
  const passages: Passage[] = [];
  const looked = new Map<string, string>();
  let now = asItCameIn(ticket, catalog);
  for (const entry of ticket.entries) {
    const from = steps.length;
    const before = now;
    if (entry.kind === "starts") steps.push(...startSteps(world, now, entry));
    if (entry.kind === "finding") steps.push(...findingSteps(world, now, entry, looked));
    if (entry.kind === "reading") steps.push(readingStep(world, now, entry));
    if (entry.kind === "change") {
      now = changed(now, entry);
      steps.push({ kind: "repair", clears: reseated(world, before, now) });
      looked.clear();
    }
    if (entry.kind === "repair") {
      steps.push(repairStep(world, now, entry));
      now = repaired(world, now, entry);
      looked.clear();
    }
    passages.push({ entry, from, to: steps.length, before, after: now });
  }
  return { model: denseModel(world), causes, steps, passages, last: now, world };
}

function denseModel({ ticket, catalog, causes }: World): DenseModel {
  const signature = (record: Record<string, number>) => catalog.stages.map((s) => record[s.id] ?? 0);
  return {
    stages: catalog.stages.length,
    leak: { chance: numberOf(catalog.leak.chance), signature: signature(catalog.leak.signature) },
    nothing: numberOf(catalog.nothingWrong),
    unlisted: numberOf(catalog.unlisted),
    maxCauses: ticket.options?.maxCauses ?? 2,
    causes: causes.map(({ id, template, chance }): DenseCause => {
      const { intermittency } = template;
      const rate =
        "fixed" in intermittency
          ? { fixed: intermittency.fixed }
          : { hard: intermittency.hard, a: intermittency.a, b: intermittency.b };
      return { id, odds: chance / (1 - chance), signature: signature(template.signature), ...rate };
    }),
  };
}

// ---- section 3 ----

function concreteCauses(ticket: Ticket, catalog: Catalog): Tied[] {
  const { parts, donors = [] } = ticket.machine;
  const all: Tied[] = [];
  for (const template of [...catalog.causes, ...(ticket.causes ?? [])]) {
    const add = (at: string, tied: Partial<Tied>, chance: number) => {
      const id = at === "" ? template.id : `${template.id}@${at}`;
      if (chance > 0) all.push({ id, template, part: null, position: null, donor: null, ...tied, chance });
    };
    const { per } = template;
    if (per === "machine") add("", {}, chanceOf(template, undefined, ticket, catalog));
    else if (per === "donor") for (const d of donors) add(d.id, { donor: d.id }, spareChance(template));
    else if ("part" in per)
      for (const p of parts.filter((x) => x.kind === per.part))
        add(p.id, { part: p.id }, chanceOf(template, p, ticket, catalog));
    else
      for (const position of catalog.positions.filter((x) => x.kind === per.position)) {
        if (position.on === undefined)
          add(position.id, { position: position.id }, chanceOf(template, undefined, ticket, catalog));
        else
          for (const p of parts.filter((x) => x.kind === position.on))
            add(
              `${p.id}.${position.id}`,
              { part: p.id, position: position.id },
              chanceOf(template, p, ticket, catalog),
            );
      }
  }
  return all;
}

const spareChance = (template: CauseTemplate) =>
  template.spare === undefined ? 0 : betaPrior(template.spare).mean;

function chanceOf(template: CauseTemplate, part: Part | undefined, ticket: Ticket, catalog: Catalog): number {
  if (part?.spare) return spareChance(template);
  const age = part?.ageYears ?? ticket.machine.ageYears;
  const window = catalog.windowYears === undefined ? 0.25 : numberOf(catalog.windowYears);
  const k = template.shape === undefined ? 1 : numberOf(template.shape);
  const rate = template.rate === undefined ? 0 : gammaPrior(template.rate).mean;
  const hazard = (years: number) => (rate * Math.exp(logGamma(1 + 1 / k)) * years) ** k;
  let logNot = hazard(Math.max(0, age - window)) - hazard(age);
  for (const { event, yearsBefore } of ticket.machine.events ?? []) {
    const known = catalog.events?.find((x) => x.id === event);
    const chance = template.events?.[event];
    if (known && chance !== undefined && yearsBefore <= numberOf(known.windowYears))
      logNot += Math.log1p(-betaPrior(chance).mean);
  }
  return -Math.expm1(logNot); // a young part with a rising hazard has chances of 1e-10, all of whose digits count
}

// ---- what is fitted ----

function asItCameIn(ticket: Ticket, catalog: Catalog): Arrangement {
  const own: Record<string, string | null> = {};
  for (const position of catalog.positions)
    own[position.id] = ticket.machine.parts.find((p) => p.position === position.id)?.id ?? null;
  const settings = Object.fromEntries(
    (catalog.settings ?? []).map((s) => [s.id, ticket.machine.settings?.[s.id] ?? s.default]),
  );
  return { in: "own", fits: { own }, settings, repairs: 0 };
}

export const fitNow = (now: Arrangement): Record<string, string | null> => now.fits[now.in] ?? {};

/** Our part that carries this position in the machine in use, if any; undefined where no part carries it. */
function carrierOf(
  { ticket, catalog }: World,
  now: Arrangement,
  position: string,
): string | null | undefined {
  const kind = catalog.positions.find((x) => x.id === position)?.on;
  if (kind === undefined) return undefined;
  const inUse = Object.values(fitNow(now));
  return ticket.machine.parts.find((p) => p.kind === kind && inUse.includes(p.id))?.id ?? null;
}

export function isFitted(world: World, now: Arrangement, cause: Tied): boolean {
  if (cause.donor !== null) return now.in === cause.donor;
  if (cause.position !== null) {
    if (!fitNow(now)[cause.position]) return false;
    return cause.part === null ? now.in === "own" : carrierOf(world, now, cause.position) === cause.part;
  }
  if (cause.part !== null) return Object.values(fitNow(now)).includes(cause.part);
  return now.in === "own";
}

type Conditions = Record<string, string | number>;

export function minutesOf({ catalog }: World, stated: Conditions = {}): Record<string, number> {
  return Object.fromEntries(
    (catalog.conditions ?? []).map((c) => {
      const told = stated[c.id] ?? c.default;
      return [c.id, typeof told === "number" ? told : c.classes.find((x) => x.id === told)!.typical];
    }),
  );
}

const classOf = ({ catalog }: World, condition: string, minutes: number): string | undefined =>
  catalog.conditions
    ?.find((c) => c.id === condition)
    ?.classes.filter((x) => x.from <= minutes)
    .at(-1)?.id;

/** Exposure of every cause to one start in this arrangement. */
export function exposuresIn(world: World, now: Arrangement, minutes: Record<string, number>): number[] {
  return world.causes.map((cause) =>
    isFitted(world, now, cause) ? exposureOf(world, now, cause, minutes) : 0,
  );
}

function exposureOf(world: World, now: Arrangement, cause: Tied, minutes: Record<string, number>): number {
  const { exposure = 1 } = cause.template;
  if (typeof exposure === "number") return exposure;
  const fit = fitNow(now);
  const kindOf = (id: string | null) => world.ticket.machine.parts.find((p) => p.id === id)?.kind;
  const asks = {
    is: (id: string, value: string) =>
      Number(now.settings[id] === value || (id in minutes && classOf(world, id, minutes[id]!) === value)),
    count: (kind: string) => Object.values(fit).filter((id) => id !== null && kindOf(id) === kind).length,
    at: (position: string) =>
      Number(
        cause.position === position ||
          (cause.part !== null && cause.position === null && fit[position] === cause.part),
      ),
    filled: (position: string) => Number(Boolean(fit[position])),
  };
  // these expressions are written by our own generator, in the part of the language that reads as JavaScript too
  return Number(
    new Function(...Object.keys(asks), ...Object.keys(minutes), `return ${exposure}`)(
      ...Object.values(asks),
      ...Object.values(minutes),
    ),
  );
}

/** What `unlisted` takes for one and the same setup. */
export function setupKey(world: World, now: Arrangement, minutes: Record<string, number>): string {
  const classes = Object.entries(minutes).map(([id, m]) => classOf(world, id, m));
  return JSON.stringify([now.in, fitNow(now), now.settings, classes, now.repairs]);
}

// ---- entries ----

type Of<K extends Entry["kind"]> = Extract<Entry, { kind: K }>;

function startSteps(world: World, now: Arrangement, entry: Of<"starts">): DenseStep[] {
  const planned = minutesOf(world, entry.conditions);
  const trust = entry.trust ?? (entry.by === "owner" ? 0.5 : 1);
  const names = [...world.catalog.stages.map((s) => s.id), "clean"];
  const step = (trial: Trial): DenseStep => ({
    kind: "starts",
    exposures: exposuresIn(
      world,
      now,
      trial.minute === undefined ? planned : { ...planned, load: trial.minute },
    ),
    seen: [{ outcomes: [trial.outcome].flat().map((o) => names.indexOf(o)), n: trial.n ?? 1 }],
    trust,
    setup: setupKey(world, now, planned),
  });
  return entry.trials.filter((x) => x.voided === undefined).map(step);
}

/** The causes tied to what is looked at or repaired: a part, a position on what now carries it, or what is fitted. */
function tiedTo(world: World, now: Arrangement, on: string | undefined): (cause: Tied) => boolean {
  if (on === undefined) return (cause) => isFitted(world, now, cause);
  if (world.ticket.machine.parts.some((p) => p.id === on)) return (cause) => cause.part === on;
  const carrier = carrierOf(world, now, on);
  return (cause) => cause.position === on && (carrier === undefined || cause.part === carrier);
}

export function findingAsked(
  world: World,
  now: Arrangement,
  finding: Finding,
  on: string | undefined,
): DenseStep & { kind: "finding" } {
  const ranked = finding.values.slice(0, -1).map((v) => v.id);
  const tied = tiedTo(world, now, on);
  return {
    kind: "finding",
    phi: world.causes.map((cause) => {
      const effect = finding.causes[cause.template.id];
      return effect && tied(cause) ? ranked.map((v) => effect[v] ?? 0) : null;
    }),
    base: ranked.map((v) => finding.base[v] ?? 0),
    value: -1,
    values: finding.values.length,
  };
}

function findingSteps(
  world: World,
  now: Arrangement,
  entry: Of<"finding">,
  looked: Map<string, string>,
): DenseStep[] {
  const key = `${entry.finding} on ${entry.on ?? ""}`;
  if (looked.get(key) === entry.value) return [];
  looked.set(key, entry.value);
  const finding = world.catalog.findings!.find((f) => f.id === entry.finding)!;
  return [
    {
      ...findingAsked(world, now, finding, entry.on),
      value: finding.values.findIndex((v) => v.id === entry.value),
    },
  ];
}

export function readingAsked(
  world: World,
  now: Arrangement,
  reading: Reading,
  on: string | undefined,
): DenseStep & { kind: "reading" } {
  const tied = tiedTo(world, now, on);
  return {
    kind: "reading",
    healthy: { m: numberOf(reading.healthy.mean), s: numberOf(reading.healthy.sd) },
    slip: reading.slip === undefined ? 0.01 : numberOf(reading.slip),
    range: reading.range,
    shifts: world.causes.map((cause) => {
      const effect = reading.causes[cause.template.id];
      return effect && tied(cause)
        ? { m: numberOf(effect.mean), s: numberOf(effect.sd), d: numberOf(effect.chance) }
        : null;
    }),
    x: NaN,
  };
}

function readingStep(world: World, now: Arrangement, entry: Of<"reading">): DenseStep {
  const reading = world.catalog.readings!.find((r) => r.id === entry.reading)!;
  return { ...readingAsked(world, now, reading, entry.on), x: Number(entry.value) };
}

export function repairStep(
  world: World,
  now: Arrangement,
  entry: { repair: string; on?: string | undefined },
): DenseStep & { kind: "repair" } {
  const repair = world.catalog.repairs!.find((r) => r.id === entry.repair)!;
  const tied = tiedTo(world, now, entry.on);
  return {
    kind: "repair",
    clears: world.causes.map((cause) => {
      const efficacy = repair.clears[cause.template.id];
      return efficacy !== undefined && tied(cause) ? numberOf(efficacy) : 0;
    }),
  };
}

export function repaired(world: World, now: Arrangement, entry: { repair: string }): Arrangement {
  const sets = world.catalog.repairs!.find((r) => r.id === entry.repair)!.sets ?? {};
  return { ...now, settings: { ...now.settings, ...sets }, repairs: now.repairs + 1 };
}

/** The arrangement after a change: a part goes where it is put and leaves where it was. */
export function changed(now: Arrangement, entry: Pick<Of<"change">, "fit" | "settings" | "in">): Arrangement {
  const machine = entry.in ?? now.in;
  const moved = Object.values(entry.fit ?? {});
  const all: Arrangement["fits"] = { [machine]: {}, ...now.fits };
  const fits: Arrangement["fits"] = Object.fromEntries(
    Object.entries(all).map(([id, fit]) => [
      id,
      Object.fromEntries(
        Object.entries(fit).map(([position, part]) => [
          position,
          part !== null && moved.includes(part) ? null : part,
        ]),
      ),
    ]),
  );
  fits[machine] = { ...fits[machine], ...entry.fit };
  return { in: machine, fits, settings: { ...now.settings, ...entry.settings }, repairs: now.repairs };
}

/**
 * Where a part sits: in which machine, in which position, and on which of our parts. A module whose board is taken out
 * sits nowhere: it is put in again with the next board.
 */
function seats(world: World, now: Arrangement): Map<string, string> {
  const all = new Map<string, string>();
  for (const [machine, fit] of Object.entries(now.fits))
    for (const [position, part] of Object.entries(fit)) {
      const carrier = carrierOf(world, { ...now, in: machine }, position);
      const ours = machine === "own";
      if (part !== null && !(ours && carrier === null))
        all.set(part, JSON.stringify([machine, position, carrier]));
    }
  return all;
}

/** Section 6: every contact that names an inserted part, or the place it went to, is reseated once. */
export function reseated(world: World, before: Arrangement, after: Arrangement): number[] {
  const was = seats(world, before);
  const is = seats(world, after);
  const inserted = [...is].filter(([part, seat]) => was.get(part) !== seat).map(([part]) => part);
  const places = Object.entries(fitNow(after))
    .filter(([, part]) => part !== null && inserted.includes(part))
    .map(([position]) => position);
  const touched = (world.catalog.settings ?? [])
    .filter((s) => before.settings[s.id] !== after.settings[s.id])
    .flatMap((s) => s.touches ?? []);
  return world.causes.map((cause) => {
    const { template, part, position } = cause;
    const names =
      (position !== null && places.includes(position)) || (part !== null && inserted.includes(part));
    const moved = template.contact === true && names && isFitted(world, after, cause);
    const bySetting = touched.includes(template.id) && isFitted(world, after, cause);
    return moved || bySetting ? numberOf(template.reseat ?? 0) : 0;
  });
}
