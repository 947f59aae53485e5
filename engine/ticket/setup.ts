/**
 * The setup: which part sits where, with which settings, in which machine. The record carries it along.
 */
import type { Catalog, Condition } from "../catalog/schema.js";
import type { Cause } from "../catalog/expand.js";
import type { ExposureScope } from "../catalog/exposure.js";
import type { EntryOf, Part, Ticket } from "./schema.js";
import type { SetupView } from "../weighing.js";

export const OWN = "own";

/** What is fitted where. `fit` is the ticket's own machine, `guest` what sits in the donor while one is used. */
export interface Setup {
  in: string;
  /** position → part id, null for empty: the ticket's own machine */
  fit: Record<string, string | null>;
  /** position → part id tried in the donor in use */
  guest: Record<string, string | null>;
  settings: Record<string, string>;
}

/** Everything that asks about a setup needs these two. */
export interface Bench {
  catalog: Catalog;
  ticket: Ticket;
}

/** The machine as it came in. */
export function intakeSetup({
  catalog,
  ticket,
}: {
  catalog: Catalog;
  ticket: Pick<Ticket, "machine">;
}): Setup {
  const fit: Record<string, string | null> = Object.fromEntries(catalog.positions.map((p) => [p.id, null]));
  for (const part of ticket.machine.parts) if (part.position !== undefined) fit[part.position] = part.id;
  const settings = Object.fromEntries((catalog.settings ?? []).map((s) => [s.id, s.default]));
  return { in: OWN, fit, guest: {}, settings: { ...settings, ...ticket.machine.settings } };
}

/** The setup after a change. A part put into one place leaves the place it was in. */
export function changed(setup: Setup, change: Pick<EntryOf<"change">, "fit" | "settings" | "in">): Setup {
  const place = change.in ?? setup.in;
  const fit = { ...setup.fit };
  const guest = place === setup.in && place !== OWN ? { ...setup.guest } : {};
  const target = place === OWN ? fit : guest;
  const moved = Object.entries(change.fit ?? {});
  for (const [, part] of moved)
    if (part !== null)
      for (const map of [fit, guest])
        for (const position of Object.keys(map)) if (map[position] === part) map[position] = null;
  for (const [position, part] of moved) target[position] = part;
  return { in: place, fit, guest, settings: { ...setup.settings, ...change.settings } };
}

/** The change that leads from one setup to another, or null where they are alike; what is tried in a donor is not said. */
export function changeBetween(
  from: Setup,
  to: Setup,
): { fit?: Setup["fit"]; settings?: Setup["settings"]; in?: string } | null {
  const differing = <T>(a: Record<string, T>, b: Record<string, T>) =>
    Object.fromEntries(Object.entries(b).filter(([key, value]) => a[key] !== value));
  const [fit, settings] = [differing(from.fit, to.fit), differing(from.settings, to.settings)];
  const change = {
    ...(Object.keys(fit).length > 0 && { fit }),
    ...(Object.keys(settings).length > 0 && { settings }),
    ...(from.in !== to.in && { in: to.in }),
  };
  return Object.keys(change).length === 0 ? null : change;
}

/** Whether a part that is in no place can still be taken up: it has not gone, or is kept as a marked spare. */
export const isHere = ({ went }: Part): boolean => went === undefined || went.to === "spare";

/** position → part id or null, in the machine that is in use; positions a donor fills itself are not named. */
export const fittedNow = (setup: Setup): Record<string, string | null> =>
  setup.in === OWN ? setup.fit : setup.guest;

/**
 * Positions that a change put a part into. A carrier (a board) put in means that every part on it was put in again.
 */
export function insertions(
  before: Setup,
  after: Setup,
  { catalog, ticket }: Bench,
): { position: string; part: string }[] {
  const [old, now] = [
    before.in === after.in ? fittedNow(before) : after.in === OWN ? before.fit : {},
    fittedNow(after),
  ];
  const isNew = (position: string) => now[position] !== null && old[position] !== now[position];
  const kindOf = (part: string) => ticket.machine.parts.find((p) => p.id === part)?.kind;
  const filled = Object.entries(now).flatMap(([position, part]) =>
    part === null ? [] : [{ position, part }],
  );
  let moved = filled.filter(({ position }) => isNew(position));
  // a cooler on a processor on a board moves with the board: look again until nothing is added
  for (let known = -1; known !== moved.length;) {
    known = moved.length;
    const kinds = new Set(moved.map(({ part }) => kindOf(part)));
    moved = filled.filter(({ position }) => {
      const carrier = catalog.positions.find((p) => p.id === position)?.on;
      return isNew(position) || (carrier !== undefined && kinds.has(carrier));
    });
  }
  return moved;
}

/** Is the cause in the machine that is in use? Position contacts count as fitted while their carrier is in use. */
export function isFitted(cause: Cause, setup: Setup): boolean {
  if (cause.donor !== null) return setup.in === cause.donor;
  if (cause.part !== null) return Object.values(fittedNow(setup)).includes(cause.part);
  return setup.in === OWN;
}

/** Minutes of each condition: a class name stands for its typical minutes. */
export function conditionMinutes(
  catalog: Catalog,
  ...layers: (Record<string, string | number> | undefined)[]
): Record<string, number> {
  const minutes: Record<string, number> = {};
  for (const condition of catalog.conditions ?? []) {
    const stated = layers.findLast((layer) => layer && Object.hasOwn(layer, condition.id))?.[condition.id];
    minutes[condition.id] =
      typeof stated === "number" ? stated : typicalMinutes(condition, stated ?? condition.default);
  }
  return minutes;
}

const typicalMinutes = (condition: Condition, id: string): number =>
  condition.classes.find((c) => c.id === id)?.typical ?? 0;

/** The class that some minutes fall into. */
export const classOf = (condition: Condition, minutes: number): string =>
  (condition.classes.findLast((c) => minutes >= c.from) ?? condition.classes[0]!).id;

/** Exposure of one trial for a cause; 0 while it is not fitted. */
export function exposureOf(
  cause: Cause,
  setup: Setup,
  minutes: Record<string, number>,
  bench: Bench,
): number {
  if (!isFitted(cause, setup)) return 0;
  const fitted = fittedNow(setup);
  if (cause.position !== null && !isFilled(cause.position, setup, bench)) return 0;
  return cause.exposure(scopeOf(cause, setup, fitted, minutes, bench));
}

function isFilled(position: string, setup: Setup, { ticket }: Bench): boolean {
  const guest = fittedNow(setup)[position];
  if (guest !== undefined && guest !== null) return true;
  const donor = ticket.machine.donors?.find((d) => d.id === setup.in);
  return guest === undefined && (donor?.parts?.some((p) => p.position === position) ?? false);
}

function scopeOf(
  cause: Cause,
  setup: Setup,
  fitted: Record<string, string | null>,
  minutes: Record<string, number>,
  bench: Bench,
): ExposureScope {
  const { catalog, ticket } = bench;
  const kinds = new Map(ticket.machine.parts.map((p) => [p.id, p.kind]));
  const donor = ticket.machine.donors?.find((d) => d.id === setup.in);
  return {
    conditions: minutes,
    is(id, value) {
      const condition = catalog.conditions?.find((c) => c.id === id);
      return Number(condition ? classOf(condition, minutes[id]!) === value : setup.settings[id] === value);
    },
    count(kind) {
      const ours = Object.values(fitted).filter((part) => part !== null && kinds.get(part) === kind).length;
      const theirs =
        donor?.parts?.filter((p) => p.kind === kind && fitted[p.position] === undefined).length ?? 0;
      return ours + theirs;
    },
    at: (position) =>
      Number(
        cause.position === null
          ? fitted[position] === cause.part && cause.part !== null
          : cause.position === position,
      ),
    filled: (position) => Number(isFilled(position, setup, bench)),
  };
}

/**
 * Contacts that a change touches, once each, before the new arrangement holds: inserting a part touches every contact
 * that names the part or the position (on the carrier then in use); a changed setting touches what the catalog says.
 */
export function touchedContacts(
  causes: readonly Cause[],
  before: Setup,
  after: Setup,
  bench: Bench,
): number[] {
  const { catalog } = bench;
  const inserted = insertions(before, after, bench);
  const fitted = fittedNow(after);
  const replugged = new Set(
    (catalog.settings ?? [])
      .filter((s) => before.settings[s.id] !== after.settings[s.id])
      .flatMap((s) => s.touches ?? []),
  );
  const touched: number[] = [];
  causes.forEach((cause, i) => {
    if (cause.reseat === 0) return;
    const byPart = cause.position === null && inserted.some((x) => x.part === cause.part);
    const byPosition = inserted.some(
      (x) =>
        x.position === cause.position &&
        (cause.part === null ? after.in === OWN : Object.values(fitted).includes(cause.part)),
    );
    const bySetting = replugged.has(cause.template) && isFitted(cause, after);
    if (byPart || byPosition || bySetting) touched.push(i);
  });
  return touched;
}

/** What tells one setup from another for `unlisted`: parts, machine, settings, condition classes, repairs so far. */
export function setupKey(
  setup: Setup,
  minutes: Record<string, number>,
  repairs: number,
  { catalog }: Bench,
): string {
  const classes = (catalog.conditions ?? []).map((c) => [c.id, classOf(c, minutes[c.id]!)]);
  const fit = Object.entries(fittedNow(setup)).filter(([, part]) => part !== null);
  const sorted = (pairs: unknown[][]) => [...pairs].sort((x, y) => (String(x[0]) < String(y[0]) ? -1 : 1));
  return JSON.stringify([
    setup.in,
    sorted(fit),
    sorted(Object.entries(setup.settings)),
    sorted(classes),
    repairs,
  ]);
}

/** The setup in plain data. */
export function viewOf(setup: Setup, bench: Bench): SetupView {
  return {
    in: setup.in,
    fit: { ...fittedNow(setup) },
    settings: { ...setup.settings },
    conditions: conditionMinutes(bench.catalog, bench.ticket.machine.conditions),
  };
}
