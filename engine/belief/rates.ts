/**
 * Quadrature rules for the manifestation rates of one ticket, chosen by its record.
 *
 * A set of one cause uses the fine rule (about 400 points), which no record within its planned sharpness outgrows.
 * Sets of two and three use compact rules. Clean starts before anything could have cleared a cause multiply its weight
 * by (1 − r)^exposure whatever else is in the set, so they are absorbed into the measure: then only stops count towards
 * the degree. A plan holds for a while: SLACK further starts in exposures it knows; then it is made anew from the
 * history, which changes no belief by more than the tolerance.
 */
import { fineRule } from "../numeric/fine.js";
import { compactRule, PLAIN, STRETCHED, type Compact, type Test } from "../numeric/compact.js";
import { pointRule, type Rule } from "../numeric/rule.js";
import { power } from "../numeric/power.js";
import type { Model } from "./model.js";
import { outcomeChance } from "./outcomes.js";
import type { Step, TrialsStep } from "./steps.js";

export interface Plan {
  /** for sets of one cause; length C */
  fine: Rule[];
  /** for larger sets, with the absorbed clean starts in the weights; length C (empty when K < 2) */
  compact: Rule[];
  /** how those were found; length C (empty when K < 2) */
  found: Pick<Compact, "variable" | "size" | "recurrence">[];
  /** clean exposure that the compact weights have absorbed; length C */
  absorbed: Float64Array;
  /** steps of the history whose clean starts are absorbed: those before this index; length C */
  absorbedBefore: Int32Array;
  /** exposures each cause was planned for: starts in them may follow */
  known: Set<number>[];
  /** exposures that predictions asked about: their chances are as exact, but no start in them may follow */
  asked: Set<number>[];
  /** largest relative error measured when the compact rules were chosen */
  error: number;
  /** degree still free */
  room: number;
  /** the step that the plan was made to hold, beside what is free */
  holds: Step | undefined;
}

/** Starts that a plan leaves room for. */
const SLACK = 20;
/** Single causes need new rules only when the record grows sharper than planned for. */
const SINGLE_SLACK = 40;
/** A further stop uses up this much of the slack, a clean start 1. */
const STOP_USES = 4;
const SLACK_STOPS = SLACK / STOP_USES;
/** Fine points are laid four times as dense as the likelihoods need, for the tail areas of r. */
export const DENSITY = 4;
/** Relative error allowed of the record as it is, and after the slack is used up. */
const WITHIN = 1e-11;
const WITHIN_SLACK = 1e-10;
/** The rate of some other cause, as the likelihood of one cause meets it inside a larger set. */
const PARTNERS = [0, 0.05, 1];

/** The degree a step uses up, or ∞ where the plan was made without it and it is no polynomial of what is known. */
export function degreeOf(step: Step, plan: Plan): number {
  if (step.kind !== "trials" || step === plan.holds) return 0;
  if (plan.compact.length === 0) return starts(step);
  if (step.trust < 1) return Infinity;
  for (let i = 0; i < step.exposure.length; i++)
    if (step.exposure[i]! > 0 && !plan.known[i]!.has(step.exposure[i]!)) return Infinity;
  const most = step.exposure.reduce((top, e) => Math.max(top, e), 0);
  return starts(step) * Math.ceil(most);
}

const starts = (step: TrialsStep) =>
  step.rows.reduce((sum, row) => sum + row.n * (isClean(row.wanted) ? 1 : STOP_USES), 0);

/** Is a row a plain clean start? */
export function isClean(wanted: Uint8Array): boolean {
  for (let s = 0; s < wanted.length - 1; s++) if (wanted[s]) return false;
  return true;
}

/**
 * @param history  the steps already weighed, whose clean starts may be absorbed
 * @param next     the step about to be weighed: the rules are made to hold it, but it is not absorbed, since its own
 *                 evidence is still to be measured
 * @param former   the plan that served so far: where the search for small rules begins, and what was asked already
 * @param asked    exposures that predictions will ask about; each of length C
 * @param foreseen exposures that starts will have further on in the record; each of length C
 */
export function planRates(
  model: Model,
  history: readonly Step[],
  next?: Step,
  former?: Plan,
  asked: readonly Float64Array[] = [],
  foreseen: readonly Float64Array[] = [],
): Plan {
  const memo = new Map<string, Compact>();
  const slack = model.sets.maxCauses < 2 ? SINGLE_SLACK : SLACK;
  const plan: Plan = {
    fine: [],
    compact: [],
    found: [],
    absorbed: new Float64Array(model.causes.length),
    absorbedBefore: new Int32Array(model.causes.length),
    known: [],
    asked: [],
    error: 0,
    room: slack,
    holds: next,
  };
  model.causes.forEach((cause, i) => {
    const seen = traceOf(model, history, next, i);
    const known = new Set([1, ...seen.exposures, ...(former?.known[i] ?? [])]);
    for (const exposure of foreseen) if (exposure[i]! > 0) known.add(exposure[i]!);
    plan.known.push(known);
    const questions = new Set(former?.asked[i]);
    for (const exposure of asked) if (exposure[i]! > 0) questions.add(exposure[i]!);
    plan.asked.push(questions);
    plan.absorbedBefore[i] = seen.firstLeave;
    plan.absorbed[i] = seen.absorbed;
    const sharpness = seen.total + slack;
    const prior = cause.rate;
    if ("fixed" in prior) {
      plan.fine.push(pointRule(prior.fixed));
      if (model.sets.maxCauses < 2) return;
      plan.compact.push(absorb(pointRule(prior.fixed), seen.absorbed));
      plan.found.push({
        variable: PLAIN,
        size: 1,
        recurrence: { diagonal: Float64Array.of(prior.fixed), offDiagonal: new Float64Array(0), total: 1 },
      });
      return;
    }
    plan.fine.push(fineRule(prior.hard, prior.a, prior.b, sharpness, DENSITY));
    if (model.sets.maxCauses < 2) return;
    const key = JSON.stringify([prior, seen.absorbed, seen.later, seen.rows, [...known], [...questions]]);
    const made =
      memo.get(key) ??
      compactOf(fineRule(prior.hard, prior.a, prior.b, sharpness), seen, known, questions, former?.found[i]);
    memo.set(key, made);
    plan.compact.push(made.rule);
    plan.found.push(made);
    plan.error = Math.max(plan.error, made.error * WITHIN);
  });
  return plan;
}

/** What the history holds for one cause. */
interface Trace {
  /** clean exposure before the first clearing */
  absorbed: number;
  /** clean exposure after it */
  later: number;
  /** stops: chance when it does not show, when it shows, exposure, exponent */
  rows: { hidden: number; shown: number; exposure: number; exponent: number }[];
  /** every exposure met, other than 0 */
  exposures: Set<number>;
  total: number;
  firstLeave: number;
}

function traceOf(model: Model, history: readonly Step[], next: Step | undefined, i: number): Trace {
  const firstLeave = history.findIndex((step) => step.kind === "leave" && step.efficacy[i]! > 0);
  const trace: Trace = {
    absorbed: 0,
    later: 0,
    rows: [],
    exposures: new Set(),
    total: 0,
    // the next step is never absorbed: its own evidence is still to be measured
    firstLeave: firstLeave < 0 ? history.length : firstLeave,
  };
  [...history, ...(next ? [next] : [])].forEach((step, index) => {
    if (step.kind !== "trials" || step.exposure[i] === 0) return;
    const exposure = step.exposure[i]!;
    trace.exposures.add(exposure);
    for (const row of step.rows) {
      const exponent = row.n * step.trust;
      trace.total += exponent * Math.max(1, exposure);
      if (!isClean(row.wanted)) addRow(trace, model, row.wanted, i, exposure, exponent);
      else if (index < trace.firstLeave) trace.absorbed += exponent * exposure;
      else trace.later += exponent * exposure;
    }
  });
  return trace;
}

function addRow(
  trace: Trace,
  model: Model,
  wanted: Uint8Array,
  i: number,
  exposure: number,
  exponent: number,
): void {
  const hidden = outcomeChance(model.stages, wanted, -1, -1, -1);
  const shown = outcomeChance(model.stages, wanted, i, -1, -1);
  const same = trace.rows.find((r) => r.hidden === hidden && r.shown === shown && r.exposure === exposure);
  if (same && Number.isInteger(same.exponent) === Number.isInteger(exponent)) same.exponent += exponent;
  else trace.rows.push({ hidden, shown, exposure, exponent });
}

function absorb(rule: Rule, exposure: number): Rule {
  if (exposure === 0) return rule;
  return { ...rule, weight: rule.weight.map((w, k) => w * Math.exp(exposure * rule.logRest[k]!)) };
}

function compactOf(
  fine: Rule,
  trace: Trace,
  known: ReadonlySet<number>,
  asked: ReadonlySet<number>,
  former: Plan["found"][number] | undefined,
): Compact {
  const whole =
    Number.isInteger(trace.later) &&
    [...known, ...asked].every(Number.isInteger) &&
    trace.rows.every((row) => Number.isInteger(row.exponent));
  const degree =
    trace.later +
    trace.rows.reduce((sum, row) => sum + row.exponent * row.exposure, 0) +
    SLACK * Math.max(1, ...known, ...asked);
  const exact = whole ? Math.ceil((degree + 1) / 2) : Infinity;
  const measure = nonZero(absorb(fine, trace.absorbed));
  return compactRule(
    measure,
    whole ? [PLAIN] : STRETCHED,
    exact,
    (rule) => testsOf(rule, trace, known, asked),
    former?.size,
  );
}

/** Without the points that cannot reach the 16th digit: tails, and what absorbed clean starts have emptied. */
function nonZero(rule: Rule): Rule {
  const least = 1e-22 * rule.weight.reduce((top, w) => Math.max(top, w), 0);
  const keep = (values: Float64Array) => values.filter((_, k) => rule.weight[k]! > least);
  return {
    rate: keep(rule.rate),
    rest: keep(rule.rest),
    logRest: keep(rule.logRest),
    weight: keep(rule.weight),
  };
}

/**
 * The functions a compact rule has to integrate: the record's likelihood in r beside partners of several rates, with
 * and without the clean starts that came after a possible cure, each also with the slack used up by stops or by clean
 * starts, and with what predictions ask. A further start must be exact relative to its own likelihood, however small; a
 * prediction relative to what is predicted from.
 */
function testsOf(rule: Rule, trace: Trace, known: ReadonlySet<number>, asked: ReadonlySet<number>): Test[] {
  const size = rule.rate.length;
  const shows = (exposure: number) => rule.logRest.map((l) => -Math.expm1(exposure * l));
  const rows = trace.rows.map((row) => ({ ...row, show: shows(row.exposure) }));
  const later = rule.logRest.map((l) => (trace.later === 0 ? 1 : Math.exp(trace.later * l)));
  const slack = [...known].flatMap((exposure) => {
    const show = shows(exposure);
    const stops = trace.exposures.has(exposure) ? SLACK_STOPS : 1;
    // the first power is the hardest: 20 × 0.6 is whole, 0.6 is not
    return [1, stops]
      .map((n) => show.map((q) => q ** n))
      .concat([1, SLACK].map((n) => rule.logRest.map((l) => Math.exp(n * exposure * l))));
  });
  const questions = [...asked]
    .filter((e) => !known.has(e))
    .flatMap((exposure) => {
      const show = shows(exposure);
      return [show, show.map((q) => q * q), show.map((q) => (1 - q) ** SLACK)];
    });
  const tests: Test[] = [];
  for (const partner of PARTNERS) {
    const base = new Float64Array(size).fill(1);
    for (const { hidden, shown, exponent, show } of rows)
      for (let k = 0; k < size; k++) {
        const own = hidden * (1 - show[k]!) + shown * show[k]!;
        base[k] = base[k]! * power((1 - partner) * own + partner / 2, exponent);
      }
    for (const cleans of trace.later === 0 ? [null] : [null, later]) {
      const values = cleans === null ? base : base.map((v, k) => v * cleans[k]!);
      const times = (more: Float64Array) => values.map((v, k) => v * more[k]!);
      tests.push({ values, within: WITHIN, scale: values });
      for (const more of slack.map(times)) tests.push({ values: more, within: WITHIN_SLACK, scale: more });
      for (const more of questions) tests.push({ values: times(more), within: WITHIN_SLACK, scale: values });
    }
  }
  return tests;
}
