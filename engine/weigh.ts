/**
 * The engine's door: a ticket in, what it weighs out.
 *
 * A weigher keeps the beliefs after earlier entries, so that an appended or edited entry re-folds only what follows. The
 * kept beliefs are thinned (the last few and every eighth, of large ones fewer): those between are folded again when they
 * are needed. What is thinned out gives its memory to what comes next.
 */
import type { Catalog } from "./catalog/schema.js";
import type { Entry, Ticket } from "./ticket/schema.js";
import { ChanceError } from "./catalog/expand.js";
import { checkTicket } from "./ticket/checkTicket.js";
import { issue } from "./issue.js";
import { heldFinding } from "./belief/compile.js";
import type { Belief } from "./belief/belief.js";
import { ExposureError, modelOf, type Model } from "./belief/model.js";
import { asking, expectationOf, prepared, startState, step, viewOfEntry, type State } from "./belief/fold.js";
import { drawParameters, redrawsOf, type Redraws } from "./belief/redraw.js";
import { Living } from "./belief/living.js";
import { OverlapError } from "./belief/unlisted.js";
import { report, said, type Said } from "./report.js";
import { advise } from "./plan/advise.js";
import { releaseTerms } from "./plan/home.js";
import { release } from "./plan/release.js";
import { sensitivity } from "./plan/sensitivity.js";
import { exposuresAsked } from "./plan/asked.js";
import type { Advice, EntryView, Issue, Weighing } from "./weighing.js";

export { parseCatalog, parseTicket } from "./ticket/parse.js";

export interface WeighOptions {
  /** next tests, release, sensitivity and the expected surprise of each entry; "next": the next tests alone; default true */
  advice?: boolean | "next";
}

export type Weighed = { weighing: Weighing } | { issues: Issue[] };

export interface Weigher {
  weigh(ticket: Ticket, options?: WeighOptions): Weighed;
}

interface Kept {
  entry: string;
  /** state after the entry, or null where it was thinned out */
  state: State | null;
  /** null until asked for with advice: the expectation is the slow part */
  full: EntryView | null;
  quick: EntryView;
}

const RECENT = 4;
const EVERY = 8;
/** Grid points (8 bytes each) that the beliefs kept may hold together; the last two are kept whatever they hold. */
const KEPT_POINTS = 2e7;
const DRAWS = 200;

export function createWeigher(catalog: Catalog): Weigher {
  let key = "";
  let model: Model;
  let start: State;
  let redraws: Redraws;
  let kept: Kept[] = [];
  const living = new Living();
  /** what beliefs said that were asked already: they are asked again with advice */
  let heard = new WeakMap<Belief, { place: State["place"]; says: Said }>();
  /** the advice given last, so that what is asked beside it need not wait for it again */
  let given: { state: State; advice: Advice } | null = null;

  return {
    weigh(ticket, options = {}) {
      const issues = checkTicket(catalog, ticket);
      if (issues.length > 0) return { issues };
      try {
        prepare(ticket);
        return fold(ticket, options.advice ?? true);
      } catch (error) {
        const known = issueOf(error);
        if (!known) throw error;
        key = "";
        return { issues: [known] };
      } finally {
        sweep();
      }
    },
  };

  /** Lets go of the weights that neither what is kept nor these states have. */
  function sweep(...asked: State[]): void {
    living.only([start, ...kept.map(({ state }) => state), ...asked]);
  }

  /** Everything but the entries makes the model; a change of it starts the fold anew. */
  function prepare(ticket: Ticket): void {
    const wanted = keyOf(ticket);
    if (wanted === key) return;
    model = modelOf(catalog, ticket);
    start = living.made(startState(model, ticket.entries));
    const { draws = DRAWS, seed = 1 } = ticket.options ?? {};
    redraws = redrawsOf(model, drawParameters(model.parameters, draws, seed));
    kept = [];
    heard = new WeakMap();
    key = wanted;
  }

  function fold(ticket: Ticket, wanted: boolean | "next"): Weighed {
    const { entries } = ticket;
    const full = wanted === true;
    kept = kept.slice(0, sameEntries(entries));
    for (let k = kept.length; k < entries.length; k++) {
      const one = entered(entries, k, full);
      if ("issue" in one) return { issues: [one.issue] };
      kept.push(one);
      thin();
      sweep();
    }
    if (full) complete(entries);
    const views = kept.map((k) => (full ? k.full! : k.quick));
    const state = stateAtEnd(entries, wanted !== false);
    const next = wanted === false ? null : adviceOn(state, ticket);
    const fixed = full ? release(state, entries, releaseTerms(catalog, ticket)) : null;
    const whatIf = full ? sensitivity(state, ticket, next) : null;
    return { weighing: report(ticket, state, saidBy(state), views, next, fixed, whatIf) };
  }

  /** How many of the first entries are those that are kept. */
  function sameEntries(entries: readonly Entry[]): number {
    const other = entries.findIndex((entry, k) => kept[k]?.entry !== JSON.stringify(entry));
    return other < 0 ? entries.length : other;
  }

  /** What entry k does, all before it being kept. */
  function entered(
    entries: readonly Entry[],
    k: number,
    full: boolean,
  ): (Kept & { state: State }) | { issue: Issue } {
    const entry = entries[k]!;
    const before = living.made(prepared(stateBefore(k, entries), entry, entries.slice(k + 1)));
    hold(before);
    const problem = conflict(before, entry, k);
    if (problem) return { issue: problem };
    const state = living.made(step(before, entry));
    if (state.belief.logEvidence === -Infinity) return { issue: impossible(k) };
    const quick = viewOfEntry(before, state, entry, null);
    return {
      entry: JSON.stringify(entry),
      state,
      full: full ? withExpectation(quick, before, entry, k) : null,
      quick,
    };
  }

  /** The state after all that is kept, on rules that serve whatever comes next. */
  function hold(state: State): void {
    const last = kept.at(-1);
    if (last) last.state = state;
    else start = state;
  }

  function saidBy(state: State): Said {
    const known = heard.get(state.belief);
    if (known?.place === state.place) return known.says;
    const says = said(state, redraws);
    heard.set(state.belief, { place: state.place, says });
    return says;
  }

  function adviceOn(state: State, ticket: Ticket): Advice {
    const { belief, place } = state;
    if (given?.state.belief !== belief || given.state.place !== place)
      given = { state, advice: advise(state, ticket) };
    return given.advice;
  }

  /** The state that report and advice speak of, on rules that answer what they ask. */
  function stateAtEnd(entries: readonly Entry[], full: boolean): State {
    const end = stateBefore(entries.length, entries);
    const state = living.made(asking(end, full ? exposuresAsked(end, entries) : []));
    hold(state);
    return state;
  }

  /** The state before entry k, folded again from the nearest kept one. */
  function stateBefore(k: number, entries: readonly Entry[]): State {
    let from = k;
    while (from > 0 && !kept[from - 1]!.state) from--;
    let state = from === 0 ? start : kept[from - 1]!.state!;
    for (let j = from; j < k; j++) {
      state = living.made(step(state, entries[j]!));
      sweep(state);
    }
    return state;
  }

  function thin(): void {
    const k = kept.length - 1 - RECENT;
    if (k >= 0 && k % EVERY !== 0) kept[k]!.state = null;
    const held = kept.filter(({ state }) => state !== null);
    let points = held.reduce((sum, { state }) => sum + pointsOf(state!), 0);
    for (const one of held.slice(0, -2)) {
      if (points <= KEPT_POINTS) return;
      points -= pointsOf(one.state!);
      one.state = null;
    }
  }

  /** Expected surprises of entries that lack them, in one pass over what has to be folded again. */
  function complete(entries: readonly Entry[]): void {
    const first = kept.findIndex((k) => k.full === null);
    if (first < 0) return;
    let before = stateBefore(first, entries);
    for (let k = first; k < kept.length; k++) {
      const one = kept[k]!;
      before = living.made(prepared(before, entries[k]!, entries.slice(k + 1)));
      const after = living.made(one.state ?? step(before, entries[k]!));
      one.full ??= withExpectation(one.quick, before, entries[k]!, k);
      sweep((before = after));
    }
  }
}

const pointsOf = ({ belief }: State) => belief.grid.values.length;

/** What of a ticket only people read, and its entries: the rest makes the model. */
const BESIDE_THE_MODEL = new Set(["entries", "title", "deleted", "parked", "practice", "currency"]);

const keyOf = (ticket: Ticket): string =>
  JSON.stringify(Object.entries(ticket).filter(([name]) => !BESIDE_THE_MODEL.has(name)));

function withExpectation(view: EntryView, before: State, entry: Entry, seed: number): EntryView {
  const expected = expectationOf(before, entry, seed);
  return { ...view, expected: expected?.bits ?? null, expectedError: expected?.error ?? null };
}

function conflict({ place }: State, entry: Entry, k: number): Issue | null {
  if (entry.kind !== "finding") return null;
  const held = heldFinding(place, entry);
  if (held === undefined || held === entry.value) return null;
  return issue(
    `entries[${k}].value`,
    `"${entry.value}", where an earlier entry found "${held}" and nothing was done to it since`,
    "one of the two to be corrected",
  );
}

const impossible = (k: number): Issue =>
  issue(
    `entries[${k}]`,
    "something that no hypothesis allows",
    "something that some cause, the leak or `unlisted` can do",
  );

function issueOf(error: unknown): Issue | null {
  if (error instanceof ExposureError)
    return issue(
      `catalog.causes.${error.template}.exposure`,
      `${error.found} with ${JSON.stringify(error.setup)}`,
      "a finite number of at least 0",
    );
  if (error instanceof OverlapError)
    return issue(
      "entries",
      "tempered starts whose sets of outcomes overlap",
      "sets of which one holds the other, or that share no outcome",
    );
  if (error instanceof ChanceError)
    return issue(
      `catalog.causes.${error.template}`,
      "a prior chance of 1 from its rate, age and events",
      "a chance below 1",
    );
  if (error instanceof RangeError && error.message.startsWith("options.maxCauses"))
    return {
      path: "options.maxCauses",
      found: "too many sets",
      expected: "sets of fewer causes",
      message: error.message,
    };
  return null;
}
