/**
 * The engine's door: a ticket in, what it weighs out.
 *
 * A weigher keeps the beliefs after earlier entries, so that an appended or edited entry re-folds only what follows. The
 * kept beliefs are thinned (the last few, and every eighth): those between are folded again when they are needed.
 */
import type { Catalog } from "./catalog/schema.js";
import type { Entry, Ticket } from "./ticket/schema.js";
import { ChanceError } from "./catalog/expand.js";
import { checkTicket } from "./ticket/checkTicket.js";
import { issue } from "./issue.js";
import { heldFinding } from "./belief/compile.js";
import { ExposureError, modelOf, type Model } from "./belief/model.js";
import { asking, expectationOf, prepared, startState, step, viewOfEntry, type State } from "./belief/fold.js";
import { drawParameters, redrawsOf, type Redraws } from "./belief/redraw.js";
import { OverlapError } from "./belief/unlisted.js";
import { report } from "./report.js";
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
const DRAWS = 200;

export function createWeigher(catalog: Catalog): Weigher {
  let key = "";
  let model: Model;
  let start: State;
  let redraws: Redraws;
  let kept: Kept[] = [];
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
      }
    },
  };

  /** Everything but the entries makes the model; a change of it starts the fold anew. */
  function prepare(ticket: Ticket): void {
    const { entries: _, title: __, deleted: ___, parked: ____, practice: _____, currency: ______, ...rest } = ticket;
    const wanted = JSON.stringify(rest);
    if (wanted === key) return;
    model = modelOf(catalog, ticket);
    start = startState(model, ticket.entries);
    const { draws = DRAWS, seed = 1 } = ticket.options ?? {};
    redraws = redrawsOf(model, drawParameters(model.parameters, draws, seed));
    kept = [];
    key = wanted;
  }

  function fold(ticket: Ticket, wanted: boolean | "next"): Weighed {
    const { entries } = ticket;
    const full = wanted === true;
    const texts = entries.map((entry) => JSON.stringify(entry));
    let same = 0;
    while (same < kept.length && kept[same]!.entry === texts[same]) same++;
    kept = kept.slice(0, same);
    for (let k = same; k < entries.length; k++) {
      const before = prepared(stateBefore(k, entries), entries[k]!, entries.slice(k + 1));
      const problem = conflict(before, entries[k]!, k);
      if (problem) return { issues: [problem] };
      const after = step(before, entries[k]!);
      if (after.belief.logEvidence === -Infinity) return { issues: [impossible(k)] };
      const quick = viewOfEntry(before, after, entries[k]!, null);
      kept.push({
        entry: texts[k]!,
        state: after,
        full: full ? withExpectation(quick, before, entries[k]!, k) : null,
        quick,
      });
      thin();
    }
    if (full) complete(entries);
    const views = kept.map((k) => (full ? k.full! : k.quick));
    const state = stateAtEnd(entries, wanted !== false);
    const next = wanted === false ? null : adviceOn(state, ticket);
    const fixed = full ? release(state, entries, releaseTerms(catalog, ticket)) : null;
    const whatIf = full ? sensitivity(state, ticket, next) : null;
    return { weighing: report(ticket, state, views, redraws, next, fixed, whatIf) };
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
    const state = asking(end, full ? exposuresAsked(end, entries) : []);
    const last = kept.at(-1);
    if (last) last.state = state;
    else start = state;
    return state;
  }

  /** The state before entry k, folded again from the nearest kept one. */
  function stateBefore(k: number, entries: readonly Entry[]): State {
    let from = k;
    while (from > 0 && !kept[from - 1]!.state) from--;
    let state = from === 0 ? start : kept[from - 1]!.state!;
    for (let j = from; j < k; j++) state = step(state, entries[j]!);
    return state;
  }

  function thin(): void {
    const k = kept.length - 1 - RECENT;
    if (k >= 0 && k % EVERY !== 0) kept[k]!.state = null;
  }

  /** Expected surprises of entries that lack them, in one pass over what has to be folded again. */
  function complete(entries: readonly Entry[]): void {
    const first = kept.findIndex((k) => k.full === null);
    if (first < 0) return;
    let before = stateBefore(first, entries);
    for (let k = first; k < kept.length; k++) {
      const one = kept[k]!;
      before = prepared(before, entries[k]!, entries.slice(k + 1));
      const after = one.state ?? step(before, entries[k]!);
      one.full ??= withExpectation(one.quick, before, entries[k]!, k);
      before = after;
    }
  }
}

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
