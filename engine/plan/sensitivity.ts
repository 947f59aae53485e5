/**
 * What if a prior is wrong: which of them, moved by a factor of three either way, would put another cause in front or
 * another test first.
 *
 * The posterior is linear in the prior of each set, so nothing is folded again. Odds of a cause times φ multiply the sets
 * that hold it by φ; the share of what has something wrong with it is the catalog's and stays, so all sets but the empty
 * one are scaled back. Odds of `none` or `unlisted` times φ multiply that one alone. Tests are ranked anew among the
 * leading ones, each by one start or look, and for the priors of what leads only.
 * Source: project model, section 3.
 */
import type { Belief } from "../belief/belief.js";
import type { State } from "../belief/fold.js";
import { setMasses } from "../belief/summary.js";
import type { Ticket } from "../ticket/schema.js";
import type { Advice, SensitivityMove, SensitivityView } from "../weighing.js";
import { atomsOf, type Target } from "./atoms.js";
import { candidatesOf, type Candidate } from "./candidates.js";
import { StartsInformation } from "./information.js";
import { lookInformation, tiedTo } from "./looks.js";
import { isStarts, planOf } from "./starts.js";
import { idOf } from "./words.js";

export const FACTOR = 3;
/** Tests that are ranked anew, and causes whose priors are moved for it. */
const TESTS = 10;
const CAUSES = 4;

/** Relative difference that is rounding. */
const ALIKE = 1e-9;

const NONE = "none";
const UNLISTED = "unlisted";

/** One prior moved: what every set's weight, and that of `unlisted`, is multiplied by. */
export interface Moved {
  prior: string;
  factor: number;
  set(f: number): number;
  unlisted: number;
}

/** @param next  the tests as they are ranked now; null where none were asked for */
export function sensitivity(state: State, ticket: Ticket, next: Advice | null): SensitivityView {
  const { belief } = state;
  const now = chancesOf(belief, null);
  const leading = first(now);
  const closest = new Set([...now].sort((x, y) => y[1] - x[1]).slice(0, CAUSES).map(([id]) => id)); // prettier-ignore
  const tests = next && new Tests(state, ticket, next);
  const moves = movesOf(belief).flatMap((moved): SensitivityMove[] => {
    const chances = chancesOf(belief, moved);
    const front = first(chances, leading);
    const matters = closest.has(moved.prior) || moved.prior === NONE || moved.prior === UNLISTED;
    const test = matters ? (tests?.firstUnder(movedBelief(belief, moved)) ?? null) : null;
    const otherTest = test !== null && test !== tests!.first ? test : null;
    if (front === leading && otherTest === null) return [];
    const { prior, factor } = moved;
    return [{ prior, factor, leading: front, p: chances.get(front)!, former: chances.get(leading)!, test: otherTest }]; // prettier-ignore
  });
  return { factor: FACTOR, leading, p: now.get(leading)!, test: tests?.first ?? null, moves };
}

/** What has most; `now` where nothing has more than it but for rounding, as of two causes that are alike. */
function first(figures: ReadonlyMap<string, number>, now: string | null = null): string {
  const top = [...figures].reduce((most, one) => (one[1] > most[1] ? one : most));
  const own = now === null ? undefined : figures.get(now);
  return own !== undefined && top[1] <= own * (1 + ALIKE) ? now! : top[0];
}

/** Every prior, up and down; those that are 0 cannot be moved. */
export function movesOf({ model }: Belief): Moved[] {
  const { sets, prior, causes } = model;
  let kept = 0;
  const having = new Float64Array(causes.length);
  for (let f = 1; f < sets.count; f++) {
    kept += prior.set[f]!;
    for (const i of sets.lists[f]!) having[i] = having[i]! + prior.set[f]!;
  }
  return [FACTOR, 1 / FACTOR].flatMap((factor): Moved[] => [
    ...causes.flatMap((cause, i): Moved[] => {
      if (!(having[i]! > 0)) return [];
      const scale = kept / (kept + (factor - 1) * having[i]!);
      const set = (f: number) => (f === 0 ? 1 : scale * (sets.lists[f]!.includes(i) ? factor : 1));
      return [{ prior: cause.id, factor, set, unlisted: 1 }];
    }),
    ...(prior.set[0]! > 0
      ? [{ prior: NONE, factor, set: (f: number) => (f === 0 ? factor : 1), unlisted: 1 }]
      : []),
    ...(prior.unlisted > 0 ? [{ prior: UNLISTED, factor, set: () => 1, unlisted: factor }] : []),
  ]);
}

/** P(was it a cause) of each, P(nothing was wrong), P(unlisted), with a prior moved. */
function chancesOf(belief: Belief, moved: Moved | null): Map<string, number> {
  const { sets, causes } = belief.model;
  const masses = setMasses(belief);
  const present = new Float64Array(causes.length);
  const unlisted = belief.unlistedMass * (moved?.unlisted ?? 1);
  let total = unlisted;
  let none = 0;
  for (let f = 0; f < masses.length; f++) {
    if (masses[f] === 0) continue;
    const mass = masses[f]! * (moved?.set(f) ?? 1);
    total += mass;
    if (f === 0) none = mass;
    for (const i of sets.lists[f]!) present[i] = present[i]! + mass;
  }
  return new Map([
    ...causes.map((cause, i): [string, number] => [cause.id, present[i]! / total]),
    [NONE, none / total],
    [UNLISTED, unlisted / total],
  ]);
}

/** The belief that the record would have left from the moved prior; its evidence stays that of the old one. */
export function movedBelief(belief: Belief, moved: Moved): Belief {
  const { masks } = belief;
  const mass = belief.mass.map((m, at) => (m === 0 ? 0 : m * moved.set(Math.floor(at / masks))));
  const unlistedMass = belief.unlistedMass * moved.unlisted;
  const total = mass.reduce((sum, m) => sum + m, unlistedMass);
  return {
    ...belief,
    mass: mass.map((m) => m / total),
    factor: belief.factor.map((x, at) => (x * moved.set(Math.floor(at / masks))) / total),
    unlistedMass: unlistedMass / total,
  };
}

/** The leading tests, each by one start or look. */
class Tests {
  /** id of the one that tells most by the minute */
  readonly first: string | null;
  private readonly list: { candidate: Candidate; id: string; priced: number }[];
  private readonly target: Target;

  constructor(
    private readonly state: State,
    ticket: Ticket,
    next: Advice,
  ) {
    this.target = next.target;
    const candidates = new Map(candidatesOf(state, ticket.entries).map((c) => [idOf(c), c]));
    const leading = next.tests.slice(0, TESTS).flatMap(({ id, sizes }) => {
      const one = sizes.find((size) => size.n === 1 && !size.bound);
      const candidate = candidates.get(id);
      if (!candidate || !one || !(one.bitsPerMinute > 0)) return [];
      return [{ candidate, id, priced: one.bits / one.bitsPerMinute, rate: one.bitsPerMinute }];
    });
    this.list = leading;
    this.first = leading.length === 0 ? null : first(new Map(leading.map(({ id, rate }) => [id, rate])));
  }

  firstUnder(belief: Belief): string | null {
    const { place } = this.state;
    const { model } = belief;
    const atoms = atomsOf(belief, this.target);
    const starts = new StartsInformation(belief, 1, this.target, atoms);
    const bits = (candidate: Candidate): number => {
      if (isStarts(candidate)) return starts.of(planOf(this.state, candidate)).bits;
      const tied = tiedTo(model, place.setup, candidate);
      return lookInformation(belief, atoms, candidate, tied, this.target);
    };
    if (this.first === null) return null;
    return first(new Map(this.list.map(({ candidate, id, priced }) => [id, bits(candidate) / priced])), this.first); // prettier-ignore
  }
}
