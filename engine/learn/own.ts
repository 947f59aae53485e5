/**
 * Closed tickets of our own, with their whole record.
 *
 * Where the cause was confirmed, starts before the first move or repair in which that cause had exposure 1 count like those of
 * a table, with the stages they stopped at; repairs give their minutes. Where none was, the engine weighs the record, and the
 * ticket counts for each cause by what the record says of it: P(c | record)/P(c), whatever the shares become.
 */
import type { EntryOf, Ticket, Trial } from "../ticket/schema.js";
import { intakePlace, startConditions } from "../belief/compile.js";
import { exposuresOf, modelOf, CLEAN, type Model } from "../belief/model.js";
import { issue } from "../ticket/parse.js";
import { createWeigher } from "../weigh.js";
import type { Issue, Weighing } from "../weighing.js";
import type { Gathered } from "./gather.js";
import { NONE, UNLISTED, type PastTicket, type Space } from "./space.js";

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
  const closed = dayOf(release.at);
  const causes = [...new Set((release.confirmed ?? []).map((id) => id.split("@")[0]!))];
  const strange = causes.find((id) => !space.causes.includes(id));
  if (strange !== undefined) return { note: `confirmed ${strange}, which is no cause of the catalog` };
  if (causes.length > 1) return { note: "several causes confirmed: their starts cannot be told apart" };

  const options = { ...ticket.options, draws: 0 };
  const weighed = createWeigher(catalog).weigh({ ...ticket, options }, { advice: false });
  if ("issues" in weighed) return weighed;
  if (causes.length === 0) gathered.addRecord(recordOf(weighed.weighing, space), closed, ticket.id);
  else gathered.add(pastTicket(ticket, causes[0]!, release.confirmed![0]!, closed, space), ticket.id);
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

function pastTicket(
  ticket: Ticket,
  cause: string,
  confirmed: string,
  closed: string,
  space: Space,
): PastTicket {
  const { counts, starts, stops } = firstStarts(modelOf(space.catalog, ticket), confirmed, space);
  const known = new Map(space.catalog.events?.map((e, k) => [e.id, { k, window: e.windowYears }]));
  const events = (ticket.machine.events ?? []).flatMap(({ event, yearsBefore }) => {
    const one = known.get(event);
    const window = typeof one?.window === "object" ? one.window.value : one?.window;
    return one && yearsBefore <= window! ? [one.k] : [];
  });
  return {
    cause: space.causes.indexOf(cause),
    onlyShown: stops > 0,
    starts: starts > 0 ? starts : -1,
    stops: starts > 0 ? stops : -1,
    at: [...counts],
    events: [...new Set(events)].sort((x, y) => x - y),
    repair: -1,
    cured: -1,
    minutes: NaN,
    closed,
    age: ticket.machine.ageYears,
  };
}

/** Starts on the bench before anything was moved, in which the confirmed cause had exposure 1. */
function firstStarts(model: Model, confirmed: string, space: Space) {
  const counts = new Map<number, number>();
  let [starts, stops] = [0, 0];
  const i = model.causes.findIndex((c) => c.id === confirmed || c.template === confirmed);
  const place = intakePlace(model);
  for (const entry of model.ticket.entries) {
    if (entry.kind === "change" || entry.kind === "repair") break;
    if (entry.kind !== "starts" || entry.by === "owner" || (entry.trust ?? 1) < 1) continue;
    const exposure =
      i < 0 ? 1 : exposuresOf(model, place.setup, startConditions(model, entry.conditions))[i]!;
    if (Math.abs(exposure - 1) > 1e-9) continue;
    for (const trial of entry.trials) {
      const outcome = plainOutcome(trial);
      if (outcome === null) continue;
      const n = trial.n ?? 1;
      starts += n;
      if (outcome === CLEAN) continue;
      stops += n;
      const s = space.stages.indexOf(outcome);
      if (s >= 0) counts.set(s, (counts.get(s) ?? 0) + n);
    }
  }
  return { counts, starts, stops };
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
