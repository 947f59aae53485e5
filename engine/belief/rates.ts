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
  /** the steps that the plan was made to hold, beside what is free */
  holds: ReadonlySet<Step>;
  /** the starts that come first among them, until anything is weighed: further starts may join them */
  first: TrialsStep | null;
}

/** Starts that a plan leaves room for. */
const SLACK = 20;
/** Single causes need new rules only when the record grows sharper than planned for. */
const SINGLE_SLACK = 40;
/** A further stop uses up this much of the slack, a clean start 1. */
const STOP_USES = 4;
/** Further stops and clean starts that rules are tried with: the first alone, which are the hardest, and all that fit. */
const FURTHER = [
  [1, 0],
  [0, 1],
  ...Array.from({ length: SLACK / STOP_USES + 1 }, (_, stops) => [stops, SLACK - STOP_USES * stops]),
] as [stops: number, cleans: number][];
/** Fine points are laid four times as dense as the likelihoods need, for the tail areas of r. */
export const DENSITY = 4;
/** Relative error allowed of the record as it is, and after the slack is used up. */
const WITHIN = 1e-11;
const WITHIN_SLACK = 1e-10;
/** How much of the rest of the machine pulls a row from what it is alone towards what it is beside some other cause. */
const PARTNERS = [0, 0.05, 1];
/** Between them a root of the row's chance may lie anywhere near r = 0, which matters where a power is no whole number. */
const PARTNERS_TEMPERED = [0, 1e-4, 1e-3, 0.01, 0.05, 0.3, 1];
/** Of those, what is tried of some rows while others are as they are alone. */
const PARTNERS_APART = [1e-3, 0.05];

/** The degree a step uses up, or ∞ where the plan was made without it and it is no polynomial of what is known. */
export function degreeOf(step: Step, plan: Plan): number {
  if (step.kind !== "trials" || plan.holds.has(step)) return 0;
  if (plan.compact.length === 0) return starts(step, plan);
  if (step.trust < 1) return Infinity;
  for (let i = 0; i < step.exposure.length; i++)
    if (step.exposure[i]! > 0 && !plan.known[i]!.has(step.exposure[i]!)) return Infinity;
  const most = step.exposure.reduce((top, e) => Math.max(top, e), 0);
  return starts(step, plan) * Math.ceil(most);
}

/** The plan once a step is weighed on it. */
export const usedBy = (step: Step, plan: Plan): Plan => ({
  ...plan,
  room: plan.room - degreeOf(step, plan),
  first: null,
});

/** Starts of a step, those of them that the plan was made to hold left out. */
function starts(step: TrialsStep, { first }: Plan): number {
  const isMore = first !== null && goesOn(step, first);
  return step.rows.reduce((sum, row) => {
    const held = isMore ? countOf(row.wanted, first) : 0;
    return sum + (row.n - held) * (isClean(row.wanted) ? 1 : STOP_USES);
  }, 0);
}

/** Are the starts of a step those of another one, and perhaps some more? */
const goesOn = (step: TrialsStep, first: TrialsStep): boolean =>
  step.key === first.key &&
  step.trust === first.trust &&
  step.exposure.every((e, i) => e === first.exposure[i]) &&
  first.rows.every((row) => countOf(row.wanted, step) >= row.n);

const countOf = (wanted: Uint8Array, { rows }: TrialsStep): number =>
  rows.find((row) => row.wanted.every((w, s) => w === wanted[s]))?.n ?? 0;

/** Is a row a plain clean start? */
export function isClean(wanted: Uint8Array): boolean {
  for (let s = 0; s < wanted.length - 1; s++) if (wanted[s]) return false;
  return true;
}

/**
 * @param history  the steps already weighed, whose clean starts may be absorbed
 * @param next     the steps about to be weighed: the rules are made to hold each of them, but they are not absorbed,
 *                 since their own evidence is still to be measured
 * @param former   the plan that served so far: where the search for small rules begins, and what was asked already
 * @param asked    exposures that predictions will ask about; each of length C
 * @param foreseen exposures that starts will have further on in the record; each of length C
 */
export function planRates(
  model: Model,
  history: readonly Step[],
  next: readonly Step[] = [],
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
    holds: new Set(next),
    first: next[0]?.kind === "trials" ? next[0] : null,
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
    const key = JSON.stringify([prior, seen.absorbed, seen.later, seen.spells, [...known], [...questions]]);
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
  /** the record between one clearing and another, at which the cause may have left; the next step is apart */
  spells: Spell[];
  /** every exposure met, other than 0 */
  exposures: Set<number>;
  total: number;
  firstLeave: number;
}

interface Spell {
  rows: Row[];
  /** clean exposure that is not absorbed */
  clean: number;
}

/** A stop: what it looks like in the rate of one cause. */
interface Row {
  wanted: Uint8Array;
  alone: Line;
  /** the two furthest it can be from that beside others */
  least: Line;
  most: Line;
  exposure: number;
  exponent: number;
}

/** Chance of a row when the cause does not show and when it does. */
type Line = readonly [hidden: number, shown: number];

function traceOf(model: Model, history: readonly Step[], next: readonly Step[], i: number): Trace {
  const clears = (step: Step) => step.kind === "leave" && step.efficacy[i]! > 0;
  const firstLeave = history.findIndex(clears);
  const trace: Trace = {
    absorbed: 0,
    later: 0,
    spells: [{ rows: [], clean: 0 }],
    exposures: new Set(),
    total: 0,
    // what comes next is never absorbed: its own evidence is still to be measured
    firstLeave: firstLeave < 0 ? history.length : firstLeave,
  };
  [...history, ...next].forEach((step, index) => {
    // what a step teaches is the ratio of what comes after it to what came before: both are asked for
    if (clears(step) || index >= history.length) trace.spells.push({ rows: [], clean: 0 });
    if (step.kind !== "trials" || step.exposure[i] === 0) return;
    const exposure = step.exposure[i]!;
    const spell = trace.spells.at(-1)!;
    trace.exposures.add(exposure);
    for (const row of step.rows) {
      const exponent = row.n * step.trust;
      trace.total += exponent * Math.max(1, exposure);
      if (!isClean(row.wanted))
        addRow(spell.rows, { wanted: row.wanted, ...linesOf(model, row.wanted, i), exposure, exponent });
      else if (index < trace.firstLeave) trace.absorbed += exponent * exposure;
      else {
        trace.later += exponent * exposure;
        spell.clean += exponent * exposure;
      }
    }
  });
  return trace;
}

/** Rows that are alike in the rate of the cause count as one; tempered ones only where they are of the same outcomes. */
function addRow(rows: Row[], row: Row): void {
  const is = (x: ArrayLike<number>, y: ArrayLike<number>) => x[0] === y[0] && x[1] === y[1];
  const isWhole = (r: Row) => Number.isInteger(r.exponent);
  const same = rows.find(
    (r) =>
      r.exposure === row.exposure &&
      is(r.alone, row.alone) &&
      is(r.least, row.least) &&
      is(r.most, row.most) &&
      // two halves of different outcomes make a whole power alone, and none beside others
      ((isWhole(r) && isWhole(row)) || r.wanted.every((w, s) => w === row.wanted[s])),
  );
  if (same) same.exponent += row.exponent;
  else rows.push(row);
}

/**
 * If all else would have stopped at s, the row is seen with chance [s ∈ wanted] when cause i does not show, and when it
 * does, if s is wanted and i comes no earlier, or if i itself stops it at a wanted stage before s. Beside others the row
 * is a mixture of these lines over s, and a product of rows a mixture of products: a rule that integrates the steepest
 * lines integrates what lies between. Of one outcome none is steeper than the row alone (the leak's share keeps it so),
 * unless the cause alone cannot be seen so at all.
 */
function linesOf({ stages }: Model, wanted: Uint8Array, i: number): Pick<Row, "alone" | "least" | "most"> {
  const alone: Line = [outcomeChance(stages, wanted, -1, -1, -1), outcomeChance(stages, wanted, i, -1, -1)];
  const isPossible = ([hidden, shown]: Line) => hidden + shown > 0;
  const steepness = ([hidden, shown]: Line) => shown / (hidden + shown);
  const lines = [alone, ...besideOthers(stages, wanted, i)].filter(isPossible);
  if (lines.length === 0) return { alone, least: alone, most: alone };
  const least = lines.reduce((x, y) => (steepness(y) < steepness(x) ? y : x));
  const steepest = lines.reduce((x, y) => (steepness(y) > steepness(x) ? y : x));
  if (!isPossible(alone)) return { alone: steepest, least, most: steepest };
  const several = wanted.reduce((sum, w) => sum + w, 0) > 1;
  return { alone, least, most: several ? steepest : alone };
}

/** The line for each stage at which all else would have stopped, and for none. */
function besideOthers(stages: Model["stages"], wanted: Uint8Array, i: number): Line[] {
  const S = stages.outcomes - 1;
  const later = (s: number) => (s < 0 ? 1 : s === S ? 0 : stages.later[i * S + s]!);
  let earlier = 0;
  return Array.from({ length: S + 1 }, (_, s): Line => {
    if (!wanted[s]) return [0, earlier];
    const line: Line = [1, earlier + later(s - 1)];
    earlier += later(s - 1) - later(s);
    return line;
  });
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
  const rows = trace.spells.flatMap((spell) => spell.rows);
  const whole =
    Number.isInteger(trace.later) &&
    [...known, ...asked].every(Number.isInteger) &&
    rows.every((row) => Number.isInteger(row.exponent));
  const degree =
    trace.later +
    rows.reduce((sum, row) => sum + row.exponent * row.exposure, 0) +
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
 * The functions a compact rule has to integrate: the record's likelihood in r beside others of several kinds, up to each
 * point at which the cause may have left and to the end, there also with the slack used up by stops or by clean starts,
 * and with what predictions ask. A further start must be exact relative to its own likelihood, however small; a
 * prediction relative to what is predicted from.
 */
function* testsOf(
  rule: Rule,
  trace: Trace,
  known: ReadonlySet<number>,
  asked: ReadonlySet<number>,
): Generator<Test> {
  const show = showAt(rule);
  const slack = [...known].flatMap((exposure) =>
    FURTHER.map(([stops, cleans]) => {
      const q = show(exposure);
      return q.map((shown, k) => shown ** stops * Math.exp(exposure * rule.logRest[k]!) ** cleans);
    }),
  );
  const questions = [...asked]
    .filter((e) => !known.has(e))
    .flatMap((exposure) => [
      show(exposure),
      show(exposure).map((q) => q * q),
      show(exposure).map((q) => (1 - q) ** SLACK),
    ]);
  for (const { along, further } of coursesOf(trace)) {
    const spells = likelihoods(rule, trace.spells, along, show);
    for (const values of spells) yield { values, within: WITHIN, scale: values };
    if (!further) continue;
    const values = spells.at(-1)!;
    const times = (more: Float64Array) => values.map((v, k) => v * more[k]!);
    for (const more of slack) {
      const product = times(more);
      yield { values: product, within: WITHIN_SLACK, scale: product };
    }
    for (const more of questions) yield { values: times(more), within: WITHIN_SLACK, scale: values };
  }
}

/** The chance to show at each point, by exposure. */
function showAt(rule: Rule): (exposure: number) => Float64Array {
  const known = new Map<number, Float64Array>();
  return (exposure) => {
    let show = known.get(exposure);
    if (!show) known.set(exposure, (show = rule.logRest.map((l) => -Math.expm1(exposure * l))));
    return show;
  };
}

/** How the rest of the machine may have behaved in each row, and whether further starts are tried beside it. */
interface Course {
  /** lines and the powers they have in the row; these add up to the row's */
  along(row: Row, index: number): (readonly [line: Line, exponent: number])[];
  further: boolean;
}

/** Rows up to which every pattern of steepest lines is tried. */
const MOST_ROWS = 3;

function coursesOf({ spells }: Trace): Course[] {
  const rows = spells.flatMap((spell) => spell.rows);
  const differ = rows.filter((row) => row.least !== row.most);
  const tempered = differ.some((row) => !Number.isInteger(row.exponent));
  const mixed = (p: number, far: "least" | "most"): Course["along"] => {
    const mix = (x: number, y: number) => (1 - p) * x + p * y;
    return (row) => [[[mix(row.alone[0], row[far][0]), mix(row.alone[1], row[far][1])], row.exponent]];
  };
  if (differ.length === 0) return [{ along: mixed(0, "least"), further: true }];
  const courses: Course[] = (tempered ? PARTNERS_TEMPERED : PARTNERS).map((p) => ({
    along: mixed(p, "least"),
    further: PARTNERS.includes(p),
  }));
  if (tempered) courses.push({ along: mixed(0.05, "most"), further: false });
  // roots of two rows that lie apart do not make a whole power together
  const roots = rows.filter((row) => !Number.isInteger(row.exponent));
  if (tempered && roots.length > 1)
    for (const alone of patterns(roots.length))
      for (const p of PARTNERS_APART)
        courses.push({
          along: (row, index) => mixed(alone(roots.indexOf(row)) ? 0 : p, "least")(row, index),
          further: false,
        });
  for (const steep of patterns(rows.length))
    courses.push({
      along: (row, index) => [[steep(index) ? row.most : row.least, row.exponent]],
      further: false,
    });
  // half of a row's starts one way, half the other; a power that is not whole stays whole as a mixture
  courses.push({
    along: (row) => {
      const half = Math.floor(row.exponent / 2);
      if (!Number.isInteger(row.exponent)) return mixed(0.5, "least")(row, 0);
      return [
        [row.least, half],
        [row.most, row.exponent - half],
      ];
    },
    further: false,
  });
  return courses;
}

/** Which rows lie along their steepest lines: every choice for a few rows, otherwise one against the rest, and in turn. */
function patterns(rows: number): ((index: number) => boolean)[] {
  if (rows <= MOST_ROWS)
    return Array.from({ length: (1 << rows) - 1 }, (_, bits) => (index) => (((bits + 1) >> index) & 1) === 1);
  const each = Array.from({ length: rows }, (_, k) => k);
  return [
    () => true,
    (index) => index % 2 === 0,
    (index) => index % 2 === 1,
    ...each.map((k) => (index: number) => index === k),
    ...each.map((k) => (index: number) => index !== k),
  ];
}

/** The likelihood at the end of each spell, from the beginning; one for each spell in which something was seen. */
function likelihoods(
  rule: Rule,
  spells: readonly Spell[],
  along: Course["along"],
  show: (exposure: number) => Float64Array,
): Float64Array[] {
  const ends: Float64Array[] = [];
  let values = new Float64Array(rule.rate.length).fill(1);
  let index = 0;
  spells.forEach(({ rows, clean }, k) => {
    if (k + 1 < spells.length && rows.length === 0 && clean === 0) return;
    values = values.map((v, at) => (clean === 0 ? v : v * Math.exp(clean * rule.logRest[at]!)));
    for (const row of rows) {
      const q = show(row.exposure);
      for (const [line, exponent] of along(row, index)) {
        if (exponent === 0) continue;
        // only the ratio counts, and 500 powers of a small chance would underflow
        const top = Math.max(...line) || 1;
        const [hidden, shown] = [line[0] / top, line[1] / top];
        for (let at = 0; at < values.length; at++)
          values[at] = values[at]! * power(hidden * (1 - q[at]!) + shown * q[at]!, exponent);
      }
      index++;
    }
    ends.push(values);
  });
  return ends;
}
