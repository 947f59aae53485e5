/**
 * The advice in plain data: the tests that tell most by the minute, and what each answer would do.
 */
import type { Ticket } from "../ticket/schema.js";
import type { State } from "../belief/fold.js";
import type { Advice, AnswerView, FinishView, TestView } from "../weighing.js";
import { targetEntropy } from "./atoms.js";
import { droppedOf, plainChange, type Candidate } from "./candidates.js";
import { lookAnswers, startsAnswers, stopAnswers } from "./answers.js";
import { answersTo, tiedTo } from "./looks.js";
import { Ranking, rateOf, type Ranked, type Size } from "./rank.js";
import { isStarts } from "./starts.js";
import { decideFrom, type Decision } from "./decide.js";
import { finishView } from "./finishView.js";
import { cautionsOf, idOf, titleOf } from "./words.js";

/** Tests that are shown. */
const SHOWN = 40;

export function advise(state: State, ticket: Ticket): Advice {
  const ranking = new Ranking(state, ticket);
  const decision = decideFrom(ranking.target === "active" ? ranking : new Ranking(state, ticket, "active"));
  const finish = finishView(state, decision);
  const named = new Set([...finish.options.map((o) => o.test), ...finish.repairs.map((r) => r.test)]);
  const ranked = ranking.all.filter((one, k) => k < SHOWN || named.has(idOf(one.candidate)));
  const shown = [...ranked, ...notAmong(ranked, decision, finish).map((one) => ranking.weigh(one))];
  return {
    target: ranking.target,
    entropy: targetEntropy(state.belief, ranking.target),
    tests: shown.map((one) => viewOf(ranking, one, shown[0]!)),
    dropped: droppedOf(state, ticket.entries),
    finish,
  };
}

/** Options that the ranking has not: a repair for which what is out goes back in first. */
function notAmong(ranked: readonly Ranked[], decision: Decision, { options }: FinishView): Candidate[] {
  const known = new Set<string | null>(ranked.map(({ candidate }) => idOf(candidate)));
  const missing = new Set(options.map(({ test }) => test).filter((test) => !known.has(test)));
  return decision.options.flatMap(({ candidate }) =>
    candidate && missing.delete(idOf(candidate)) ? [candidate] : [],
  );
}

function viewOf(ranking: Ranking, one: Ranked, first: Ranked): TestView {
  const { candidate, cost, best } = one;
  const { state } = ranking;
  const { model } = state.belief;
  const starts = isStarts(candidate) ? candidate : null;
  return {
    id: idOf(candidate),
    kind: candidate.kind,
    title: titleOf(model, state.place.setup, candidate, best.n, best.stopEarly),
    steps: cost.steps,
    change: starts?.change ? plainChange(starts.change) : null,
    repair: starts?.repair ? { repair: starts.repair.repair.id, on: starts.repair.on } : null,
    conditions: starts?.conditions ?? {},
    finding: candidate.kind === "finding" ? { id: candidate.finding.id, on: candidate.on } : null,
    reading: candidate.kind === "reading" ? { id: candidate.reading.id, on: candidate.on } : null,
    n: best.n,
    stopEarly: best.stopEarly,
    minutes: best.minutes,
    money: cost.money,
    minutesWithMoney: best.priced,
    bits: best.bits,
    bitsError: best.error,
    atLeast: best.bound,
    bitsPerMinute: rateOf(best),
    answers: answersOf(ranking, one),
    cautions: cautionsOf(model, cost.cautions),
    whyNot: one === first ? null : whyNot(best, first.best),
    sizes: one.sizes.map((s) => ({
      n: s.n,
      stopEarly: s.stopEarly,
      bits: s.bits,
      bitsError: s.error,
      minutes: s.minutes,
      bitsPerMinute: rateOf(s),
      bound: s.bound,
    })),
  };
}

/** What every answer would do; for a batch told by its clean starts alone, what two starts would. */
function answersOf(ranking: Ranking, { candidate, plan, best }: Ranked): AnswerView[] {
  const { belief, place } = ranking.state;
  if (isStarts(candidate)) {
    if (best.stopEarly) return stopAnswers(ranking.stops, plan!, best.n);
    return startsAnswers(ranking.information(best.error > 0 || best.bound ? 2 : best.n), plan!);
  }
  const tied = tiedTo(belief.model, place.setup, candidate);
  return lookAnswers(belief, ranking.atoms, answersTo(belief, candidate), tied);
}

function whyNot(own: Size, first: Size): string {
  if (own.bits < 1e-4) return "would tell nothing now";
  if (own.priced > own.minutes * 1.5 && own.priced > first.priced) return "costs too much for what it tells";
  if (own.bits < first.bits && own.priced >= first.priced) return "tells less and takes no less work";
  if (own.bits < first.bits) return "tells less, even for the shorter work";
  return "takes longer than what it adds is worth";
}
