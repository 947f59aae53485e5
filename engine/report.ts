/**
 * The report: what a belief at the end of a record says, in the shape of `weighing.ts`.
 */
import type { Ticket } from "./ticket/schema.js";
import { viewOf } from "./ticket/setup.js";
import type { Belief } from "./belief/belief.js";
import { startConditions } from "./belief/compile.js";
import { exposuresOf } from "./belief/model.js";
import { causesInPlay, plannedStep, type State } from "./belief/fold.js";
import { predictive } from "./belief/predictive.js";
import { rateDensity, rateMarginals, ratePosterior, ratePrior } from "./belief/ratePosterior.js";
import { quantilesOf, redraw, type Redrawn, type Redraws } from "./belief/redraw.js";
import { activity, decibans, nothingAtWork, presence, setMasses } from "./belief/summary.js";
import { MAX_SIZE } from "./belief/sets.js";
import { WEIGHING_FORMAT, type Advice, type CauseView, type EntryView, type Interval, type ReleaseView, type SensitivityView, type SetView, type Warning, type Weighing } from "./weighing.js"; // prettier-ignore

/** `unlisted` speaks from here on (project model, section 7). */
const UNLISTED_SPEAKS = 0.2;
const LEADING_SETS = 20;
/** The rate of what is less likely than this nobody draws. */
const DRAWN = 0.01;
const RATE_STEPS = 40;
/** Evidence under this, either way, counts as not looked at. */
const LOOKED_AT = 1;
/** Surprise this much above its expectation, in bits, is shown as a conflict in the record. */
const CONFLICT = 6;

/** What a state says by itself, whatever led to it and whatever is asked beside it. */
export type Said = Pick<
  Weighing,
  "setup" | "causes" | "none" | "unlisted" | "nothingAtWork" | "sets" | "predictive"
>;

export function said(state: State, redraws: Redraws): Said {
  const { belief, place } = state;
  const { model } = belief;
  const redrawn = redraw(belief, redraws);
  const { exposure, key } = plannedStep(model, place, startConditions(model));
  return {
    setup: viewOf(place.setup, model),
    causes: causeViews(state, redrawn),
    none: interval(belief.mass[0]!, redrawn.none),
    unlisted: interval(belief.unlistedMass, redrawn.unlisted),
    nothingAtWork: nothingAtWork(belief, causesInPlay(state)),
    sets: setViews(state),
    predictive: [...predictive(belief, exposure, key)].map((p, k) => ({ outcome: model.outcomeIds[k]!, p })),
  };
}

export function report(
  ticket: Ticket,
  { belief }: State,
  said: Said,
  entries: EntryView[],
  next: Advice | null,
  release: ReleaseView | null,
  sensitivity: SensitivityView | null,
): Weighing {
  const { id, title, currency } = ticket;
  const { catalog, sets, prior } = belief.model;
  return {
    format: WEIGHING_FORMAT,
    ticket: { id, title, ...(currency !== undefined && { currency }) },
    catalog: { id: catalog.id, version: catalog.version, name: catalog.name },
    maxCauses: sets.maxCauses,
    truncated: prior.truncated,
    ...said,
    causes: [...said.causes].sort((x, y) => y.atWork.p - x.atWork.p || y.present.p - x.present.p),
    logEvidence: belief.logEvidence,
    evidenceBits: belief.logEvidence / Math.LN2,
    entries,
    notLookedAt: notLookedAt(said.causes, entries),
    warnings: warnings(belief, entries),
    next,
    release,
    sensitivity,
  };
}

function interval(p: number, drawn: ArrayLike<number>): Interval {
  if (drawn.length === 0) return { p, low: null, high: null };
  const [low, high] = quantilesOf(drawn, [0.05, 0.95]) as [number, number];
  return { p, low, high };
}

function causeViews(state: State, redrawn: Redrawn): CauseView[] {
  const { belief, place } = state;
  const { model } = belief;
  const inPlay = causesInPlay(state);
  const exposure = exposuresOf(model, place.setup, startConditions(model));
  const odds = presence(belief);
  const active = activity(belief);
  const marginals = rateMarginals(belief);
  const priors = priorPresence(state);
  return model.causes.map((cause, i) => {
    const rate = ratePosterior(belief, marginals, i);
    const none = new Float64Array(redrawn.none.length);
    return {
      id: cause.id,
      name: cause.name,
      template: cause.template,
      group: cause.group,
      parts: cause.part === null ? [] : [cause.part],
      position: cause.position,
      exposure: exposure[i]!,
      prior: priors[i]!,
      present: interval(odds.present[i]!, redrawn.present[i]!),
      atWork: inPlay[i] ? interval(active[i]!, redrawn.active[i]!) : interval(0, none),
      ifUsed: inPlay[i] ? null : active[i]!,
      rate: rate && {
        mean: rate.mean,
        low: rate.low,
        high: rate.high,
        hard: rate.hard,
        density: odds.present[i]! < DRAWN ? null : rateDensity(rate, RATE_STEPS),
        densityBefore: odds.present[i]! < DRAWN ? null : rateDensity(ratePrior(belief, i), RATE_STEPS),
      },
      decibans: decibans(odds.present[i]!, odds.absent[i]!),
    };
  });
}

/** P(i ∈ F) before the record. */
function priorPresence({ belief }: State): Float64Array {
  const { sets, prior, causes } = belief.model;
  const present = new Float64Array(causes.length);
  for (let f = 0; f < sets.count; f++)
    for (let m = 0; m < sets.size[f]!; m++) {
      const i = sets.members[f * MAX_SIZE + m]!;
      present[i] = present[i]! + prior.set[f]!;
    }
  return present;
}

function setViews({ belief }: State): SetView[] {
  const { sets, causes } = belief.model;
  const views = [...setMasses(belief)].map((p, f) => ({ f, p }));
  const leading = views
    .sort((x, y) => y.p - x.p)
    .slice(0, LEADING_SETS)
    .map(({ f, p }): SetView => {
      const members = Array.from(
        { length: sets.size[f]! },
        (_, m) => causes[sets.members[f * MAX_SIZE + m]!]!.id,
      );
      return { causes: f === 0 ? ["none"] : members, p };
    });
  return [...leading, { causes: ["unlisted"], p: belief.unlistedMass }].sort((x, y) => y.p - x.p);
}

function notLookedAt(causes: readonly CauseView[], entries: readonly EntryView[]): Weighing["notLookedAt"] {
  const quiet = causes.filter((c) => entries.every((e) => Math.abs(e.ledger[c.id] ?? 0) < LOOKED_AT));
  const groups = [...new Set(quiet.map((c) => c.group))];
  return groups
    .map((group) => {
      const own = quiet.filter((c) => c.group === group);
      return { group, causes: own.map((c) => c.id), share: own.reduce((sum, c) => sum + c.present.p, 0) };
    })
    .sort((x, y) => y.share - x.share);
}

function warnings(belief: Belief, entries: readonly EntryView[]): Warning[] {
  const found: Warning[] = [];
  if (belief.unlistedMass > UNLISTED_SPEAKS) {
    const most = entries.reduce<EntryView | null>(
      (top, e) => ((e.ledgerUnlisted ?? 0) > (top?.ledgerUnlisted ?? 0) ? e : top),
      null,
    );
    found.push({
      code: "unlisted",
      text: `the list may be missing the cause: ${Math.round(100 * belief.unlistedMass)} % speaks for something that is not on it; add a cause of your own if you suspect one`,
      entry: most?.id ?? null,
    });
  }
  for (const e of entries)
    if (e.surprise !== null && e.expected !== null && e.surprise - e.expected > CONFLICT)
      found.push({
        code: "conflict",
        text: `this entry surprises by ${e.surprise.toFixed(1)} bits where ${e.expected.toFixed(1)} were expected`,
        entry: e.id,
      });
  if (belief.plan.error > 1e-9)
    found.push({
      code: "accuracy",
      text: `sets of several causes are weighed to ${belief.plan.error.toExponential(0)} only`,
      entry: null,
    });
  return found;
}
