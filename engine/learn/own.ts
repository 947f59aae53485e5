/**
 * Closed tickets of our own, with their whole record.
 *
 * Where the cause was confirmed, the starts before the first move or repair count, with the stages they stopped at: like those
 * of a table where the cause had exposure 1 in all of them, else with their exposures (fit/graded.ts). Repairs give their
 * minutes. Where none was, the engine weighs the record, and the
 * ticket counts for each cause by what the record says of it: P(c | record)/P(c), whatever the shares become.
 */
import type { EntryOf, Ticket, Trial } from "../ticket/schema.js";
import { intakePlace, startConditions } from "../belief/compile.js";
import { exposuresOf, modelOf, CLEAN, type Model } from "../belief/model.js";
import { issue } from "../issue.js";
import { createWeigher } from "../weigh.js";
import type { Issue, Weighing } from "../weighing.js";
import type { Group } from "./fit/graded.js";
import type { Gathered } from "./gather.js";
import { NONE, UNLISTED, type Space } from "./space.js";

/** @returns why it teaches nothing, or null where it was added */
export function addOwnTicket(
  gathered: Gathered,
  ticket: Ticket,
): { note: string | null } | { issues: Issue[] } {
  const { practice } = ticket;
  if (practice !== undefined)
    return {
      issues: [issue("practice", `practice machine ${practice.seed}`, "a machine of the bench's own")],
    };
  const { space } = gathered;
  const { catalog } = space;
  const named = typeof ticket.catalog === "string" ? ticket.catalog : ticket.catalog.id;
  const ids = [catalog.id, catalog.tuned?.from.id ?? catalog.id];
  if (!ids.some((id) => named === id || named.endsWith(`${id}.json`)))
    return { issues: [issue("catalog", named, `a ticket of the catalog ${catalog.id}`)] };
  const release = ticket.entries.findLast((e): e is EntryOf<"release"> => e.kind === "release");
  if (release === undefined) return { note: "not closed: a record ends with a release" };
  if (gathered.seen.has(ticket.id)) return { note: "a ticket of this number has been read already" };
  const closed = dayOf(release.at);
  const causes = [...new Set((release.confirmed ?? []).map((id) => id.split("@")[0]!))];
  const strange = causes.find((id) => !space.causes.includes(id));
  if (strange !== undefined) return { note: `confirmed ${strange}, which is no cause of the catalog` };
  if (causes.length > 1) return { note: "several causes confirmed: their starts cannot be told apart" };

  const options = { ...ticket.options, draws: 0 };
  const weighed = createWeigher(catalog).weigh({ ...ticket, options }, { advice: false });
  if ("issues" in weighed) return weighed;
  gathered.seen.add(ticket.id);
  if (causes.length === 0) gathered.addRecord(recordOf(weighed.weighing, space), closed, ticket.id);
  else addConfirmed(gathered, ticket, causes[0]!, release.confirmed![0]!, closed);
  for (const entry of ticket.entries) addMinutes(gathered, entry, closed);
  return { note: null };
}

/** ln of P(c | record)/P(c), a common factor left out; length C. */
function recordOf(weighing: Weighing, space: Space): Float64Array {
  const present = new Float64Array(space.causes.length);
  const prior = new Float64Array(space.causes.length);
  for (const cause of weighing.causes) {
    const c = space.causes.indexOf(cause.template);
    if (c < 0) continue; // a cause of this ticket's own
    present[c]! += cause.present.p;
    prior[c]! += cause.prior;
  }
  const { catalog } = space;
  const share = (figure: typeof catalog.unlisted) => (typeof figure === "number" ? figure : figure.value);
  for (const [id, view, figure] of [
    [NONE, weighing.none, catalog.nothingWrong],
    [UNLISTED, weighing.unlisted, catalog.unlisted],
  ] as const) {
    const c = space.causes.indexOf(id);
    present[c] = view.p;
    prior[c] = share(figure);
  }
  return present.map((p, c) => (p > 0 && prior[c]! > 0 ? Math.log(p / prior[c]!) : -100));
}

function addConfirmed(
  gathered: Gathered,
  ticket: Ticket,
  cause: string,
  confirmed: string,
  closed: string,
): void {
  const { space } = gathered;
  const first = firstStarts(modelOf(space.catalog, ticket), confirmed, space);
  const groups = first.groups.filter((g) => g.exposure > 0);
  const isNominal = groups.every((g) => Math.abs(g.exposure - 1) < 1e-9);
  const [stops, clean] = [sum(groups, (g) => g.stops), sum(groups, (g) => g.clean)];
  const c = space.causes.indexOf(cause);
  const isCounted = isNominal && stops + clean > 0;
  gathered.add(
    {
      cause: c,
      onlyShown: stops > 0,
      starts: isCounted ? stops + clean : -1,
      stops: isCounted ? stops : -1,
      at: [...first.stages],
      events: eventsOf(ticket, space),
      repair: -1,
      cured: -1,
      minutes: NaN,
      closed,
      age: ticket.machine.ageYears,
    },
    ticket.id,
  );
  if (!isNominal) gathered.addGraded({ cause: c, groups, onlyShown: stops > 0 }, closed, ticket.id);
}

/** Those that came within their window before the complaint, rising. */
function eventsOf({ machine }: Ticket, { catalog }: Space): number[] {
  const known = new Map(catalog.events?.map((e, k) => [e.id, { k, window: e.windowYears }]));
  const events = (machine.events ?? []).flatMap(({ event, yearsBefore }) => {
    const one = known.get(event);
    const window = typeof one?.window === "object" ? one.window.value : one?.window;
    return one && yearsBefore <= window! ? [one.k] : [];
  });
  return [...new Set(events)].sort((x, y) => x - y);
}

const sum = <T>(list: readonly T[], of: (one: T) => number) => list.reduce((total, x) => total + of(x), 0);

/** Starts on the bench before anything was moved, by the exposure of the confirmed cause, and where they stopped. */
function firstStarts(model: Model, confirmed: string, space: Space) {
  const stages = new Map<number, number>();
  const groups: Group[] = [];
  const i = model.causes.findIndex((c) => c.id === confirmed || c.template === confirmed);
  const place = intakePlace(model);
  for (const entry of model.ticket.entries) {
    if (entry.kind === "change" || entry.kind === "repair") break;
    if (entry.kind !== "starts" || entry.by === "owner" || (entry.trust ?? 1) < 1) continue;
    const exposure =
      i < 0 ? 1 : exposuresOf(model, place.setup, startConditions(model, entry.conditions))[i]!;
    let group = groups.find((g) => Math.abs(g.exposure - exposure) < 1e-9);
    if (!group) groups.push((group = { exposure, stops: 0, clean: 0 }));
    for (const trial of entry.trials) {
      const outcome = plainOutcome(trial);
      const n = trial.n ?? 1;
      if (outcome === CLEAN) group.clean += n;
      if (outcome === CLEAN || outcome === null) continue;
      group.stops += n;
      const s = space.stages.indexOf(outcome);
      if (s >= 0 && exposure > 0) stages.set(s, (stages.get(s) ?? 0) + n);
    }
  }
  return { stages, groups: groups.filter((g) => g.stops + g.clean > 0) };
}

/** null where it does not count; a stop of which the stage was not seen counts as one all the same. */
function plainOutcome({ outcome, voided, minute }: Trial): string | null {
  if (voided !== undefined || minute !== undefined) return null;
  if (typeof outcome === "string") return outcome;
  if (outcome.length === 1) return outcome[0]!;
  return outcome.includes(CLEAN) ? null : "";
}

function addMinutes(gathered: Gathered, entry: Ticket["entries"][number], closed: string): void {
  if (entry.kind !== "repair" || !(entry.minutes! > 0)) return;
  gathered.addMinutes(gathered.space.repairs.indexOf(entry.repair), entry.minutes!, closed);
}

/** The day of an ISO 8601 time; empty where there is none. */
const dayOf = (at: string | undefined): string => /^\d{4}-\d{2}-\d{2}/.exec(at ?? "")?.[0] ?? "";
