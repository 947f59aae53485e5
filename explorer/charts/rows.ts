/** From a weighing to the rows that charts and tables show. Charts themselves compute nothing. */
import type { EntryView, Interval, ProvingView, ReleaseView, Weighing } from "../../engine/weighing.js";

/** was it a cause / is it still at work in the machine as now fitted */
export type Question = "present" | "atWork";

export interface SuspectRow {
  id: string;
  name: string;
  group: string;
  p: number;
  low: number | null;
  high: number | null;
  /** where it stood before the last entry; null where that is not known */
  before: number | null;
}

export const NONE = "none";
export const UNLISTED = "unlisted";

/** The `count` likeliest causes, then the two that are always there. */
export function suspectRows(weighing: Weighing, question: Question, count: number): SuspectRow[] {
  const before = weighing.entries.at(-2);
  const rows = weighing.causes.map((cause): SuspectRow => {
    const prior = weighing.entries.length === 1 && question === "present" ? cause.prior : null;
    const stood = before ? (before[question][cause.id] ?? null) : prior;
    return { id: cause.id, name: cause.name, group: cause.group, ...cause[question], before: stood };
  });
  rows.sort((x, y) => y.p - x.p);
  return [...rows.slice(0, count), noneRow(weighing, question, before), unlistedRow(weighing, before)];
}

const bare = (p: number): Interval => ({ p, low: null, high: null });

function noneRow(weighing: Weighing, question: Question, before: EntryView | undefined): SuspectRow {
  const now = question === "present" ? weighing.none : bare(weighing.nothingAtWork);
  const stood = question === "present" ? before?.none : before?.nothingAtWork;
  const name = question === "present" ? "Nothing wrong" : "Nothing at work";
  return { id: NONE, name, group: NONE, ...now, before: stood ?? null };
}

const unlistedRow = (weighing: Weighing, before: EntryView | undefined): SuspectRow => ({
  id: UNLISTED,
  name: "Not on the list",
  group: UNLISTED,
  ...weighing.unlisted,
  before: before?.unlisted ?? null,
});

export interface BeliefPoint {
  /** 1 for the first entry */
  entry: number;
  id: string;
  name: string;
  group: string;
  p: number;
}

/** Belief after every entry, for the causes that ever led and the two that are always there. */
export function beliefPoints(weighing: Weighing, count = 3): BeliefPoint[] {
  const peak = (id: string) => Math.max(...weighing.entries.map((e) => e.present[id] ?? 0));
  const lead = weighing.causes
    .map((cause) => ({ cause, now: cause.present.p, peak: peak(cause.id) }))
    .sort((x, y) => y.now - x.now || y.peak - x.peak)
    .slice(0, count)
    .map(({ cause }) => ({ id: cause.id, name: cause.name, group: cause.group }));
  const series = [
    ...lead.map((s) => ({ ...s, of: (e: EntryView) => e.present[s.id] ?? 0 })),
    { id: NONE, name: "Nothing wrong", group: NONE, of: (e: EntryView) => e.none },
    { id: UNLISTED, name: "Not on the list", group: UNLISTED, of: (e: EntryView) => e.unlisted },
  ];
  return series.flatMap(({ of, ...s }) => weighing.entries.map((e, i) => ({ entry: i + 1, ...s, p: of(e) })));
}

/** Moves label positions apart so that none is closer than `gap`; order is kept. Positions are in pixels, downwards. */
export function spread(wanted: readonly number[], gap: number, from: number, to: number): number[] {
  const order = wanted.map((y, i) => ({ y, i })).sort((a, b) => a.y - b.y);
  let floor = from;
  for (const label of order) floor = (label.y = Math.max(label.y, floor)) + gap;
  let ceiling = to;
  for (const label of order.reverse()) ceiling = (label.y = Math.min(label.y, ceiling)) - gap;
  return order.sort((a, b) => a.i - b.i).map((label) => label.y);
}

export interface Lesson {
  id: string;
  name: string;
  group: string;
  decibans: number;
}

/** What an entry taught: the heaviest weights of evidence, 1 deciban or more either way. */
export function lessons(view: EntryView, weighing: Weighing, count = 3): Lesson[] {
  const all = weighing.causes.map((c) => ({
    id: c.id,
    name: c.name,
    group: c.group,
    decibans: view.ledger[c.id] ?? 0,
  }));
  all.push({ id: NONE, name: "Nothing wrong", group: NONE, decibans: view.ledgerNone ?? 0 });
  all.push({ id: UNLISTED, name: "Not on the list", group: UNLISTED, decibans: view.ledgerUnlisted ?? 0 });
  return all
    .filter((lesson) => Math.abs(lesson.decibans) >= 1)
    .sort((x, y) => Math.abs(y.decibans) - Math.abs(x.decibans))
    .slice(0, count);
}

/** The causes that an answer moves most, those that it leaves where they are (to the percent) left out. */
export function movedMost<E extends { before: number; after: number }>(
  effects: readonly E[],
  count = 3,
): E[] {
  const move = (effect: E) => Math.abs(effect.after - effect.before);
  return effects
    .filter((effect) => move(effect) >= 0.005)
    .sort((x, y) => move(y) - move(x))
    .slice(0, count);
}

/** Bits by which an entry surprised more than it was bound to; null where it has no expectation. */
export const excessSurprise = (view: EntryView): number | null =>
  view.surprise === null || view.expected === null ? null : view.surprise - view.expected;

export interface ComebackPoint {
  /** further clean starts */
  n: number;
  /** where they are made */
  where: string;
  chance: number;
}

export interface ComebackRows {
  points: ComebackPoint[];
  /** where the chance first lies within the limit, and what is said there */
  enough: (ComebackPoint & { said: string })[];
  limit: number;
}

export const AS_IT_IS = "as it is";
export const BETTER = "the better way";
/** Starts that are shown at least. */
const LEAST = 20;

/** Chance of a comeback against further clean starts, as far as is wanted: half as many again as are needed. */
export function comebackRows({ here, best, limit }: ReleaseView): ComebackRows {
  const curves = [{ where: AS_IT_IS, proving: here }, ...(best ? [{ where: BETTER, proving: best }] : [])];
  const needed = curves.map(({ proving }) => proving.needed ?? 0);
  const most =
    Math.max(...needed) > 0
      ? Math.max(LEAST, 1.5 * Math.max(...needed))
      : here.needed === 0
        ? LEAST
        : Infinity;
  const last = here.curve.find(({ n }) => n >= most)?.n ?? here.curve.at(-1)!.n;
  return {
    points: curves.flatMap(({ where, proving }) =>
      proving.curve.filter(({ n }) => n <= last).map(({ n, comeback }) => ({ n, where, chance: comeback })),
    ),
    enough: curves.flatMap(({ where, proving }) => enoughOf(where, proving, limit)),
    limit,
  };
}

const enoughOf = (where: string, { needed, curve }: ProvingView, limit: number): ComebackRows["enough"] =>
  needed === null ? [] : [{ n: needed, where, chance: Math.min(limit, curve.find(({ n }) => n >= needed)?.comeback ?? limit), said: `${needed}` }]; // prettier-ignore

/** Does a curve anywhere climb by half a point or more, though every start is clean? */
export const rises = ({ points }: ComebackRows): boolean =>
  points.some(({ n, where, chance }) =>
    points.some((later) => later.where === where && later.n > n && later.chance >= chance + 0.005),
  );
