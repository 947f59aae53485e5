/**
 * What a candidate takes from here: minutes of labour, money, and the steps in words.
 */
import { numberOf } from "../catalog/figures.js";
import type { Belief } from "../belief/belief.js";
import type { State } from "../belief/fold.js";
import { plannedStep } from "../belief/fold.js";
import type { Model } from "../belief/model.js";
import { MomentStore } from "../belief/moments.js";
import { missChances } from "../belief/predictive.js";
import { startConditions } from "../belief/compile.js";
import { changeBetween, changed, insertions, type Setup } from "../ticket/setup.js";
import type { Candidate, Change, RepairOn } from "./candidates.js";
import { partPrice, pricesOf } from "./terms.js";
import { changeWords, partName } from "./words.js";

export interface Step {
  text: string;
  minutes: number;
}

export interface Cost {
  /** before the first start, or the whole of a look */
  fixed: number;
  /** for each start, waiting included */
  perStart: number;
  money: number;
  steps: Step[];
  /** ids of cautions to be shown */
  cautions: string[];
}

/** Starts tried, to get one that reaches a stage, before giving up. */
const TRIES = 6;

export function costOf(state: State, candidate: Candidate): Cost {
  const { model } = state.belief;
  if (candidate.kind === "finding") return lookCost(candidate.finding.name, candidate.finding);
  if (candidate.kind === "reading") return lookCost(candidate.reading.name, candidate.reading);
  const cost: Cost = {
    fixed: 0,
    perStart: numberOf(model.catalog.trialMinutes) + waiting(model, candidate.conditions),
    money: 0,
    steps: [],
    cautions: [],
  };
  if (candidate.change) addChange(cost, model, state.place.setup, candidate.change);
  if (candidate.repair) addRepair(cost, state, candidate.repair);
  cost.fixed = cost.steps.reduce((sum, s) => sum + s.minutes, 0);
  return cost;
}

/** Minutes to bring back the arrangement that a candidate changes; repairs stay. */
export const wayBack = ({ belief, place }: State, change: Change | null): number =>
  change ? minutesBetween(belief.model, changed(place.setup, change), place.setup) : 0;

/** Minutes of handling from one arrangement to another. */
export function minutesBetween(model: Model, from: Setup, to: Setup): number {
  const change = changeBetween(from, to);
  if (!change) return 0;
  const way: Cost = { fixed: 0, perStart: 0, money: 0, steps: [], cautions: [] };
  addChange(way, model, from, change);
  return way.steps.reduce((sum, s) => sum + s.minutes, 0);
}

function lookCost(
  name: string,
  look: { minutes: Parameters<typeof numberOf>[0]; cautions?: string[] | undefined },
): Cost {
  const minutes = numberOf(look.minutes);
  return {
    fixed: minutes,
    perStart: 0,
    money: 0,
    steps: [{ text: name, minutes }],
    cautions: look.cautions ?? [],
  };
}

/**
 * Labour that each start in these classes adds: conditions that a start uses up are paid again, and minutes that nobody
 * stands by at their own price.
 */
function waiting({ catalog, ticket }: Model, conditions: Record<string, string>): number {
  const { unattended } = pricesOf(catalog, ticket);
  return (catalog.conditions ?? []).reduce((sum, c) => {
    const own = c.classes.find((x) => x.id === (conditions[c.id] ?? c.default));
    return sum + numberOf(own?.wait ?? 0) + unattended * numberOf(own?.unattended ?? 0);
  }, 0);
}

/** Every part that has to move: what is taken out, what is put in, and what sits on a carrier that is exchanged. */
function addChange(cost: Cost, model: Model, before: Setup, change: Change): void {
  const after = changed(before, change);
  const kinds = new Map(model.ticket.machine.parts.map((p) => [p.id, p]));
  const handling = (part: string) => model.catalog.parts.find((k) => k.id === kinds.get(part)!.kind)!;
  const inserted = insertions(before, after, model);
  const removed = removals(
    before,
    after,
    inserted.map((x) => x.part),
  );
  let minutes = 0;
  for (const part of removed) minutes += numberOf(handling(part).remove);
  for (const { part } of inserted) {
    minutes += numberOf(handling(part).insert);
    const one = kinds.get(part)!;
    if (one.atHand === false) cost.money += partPrice(model.catalog, one) ?? 0;
  }
  for (const setting of model.catalog.settings ?? [])
    if (before.settings[setting.id] !== after.settings[setting.id]) {
      minutes += numberOf(setting.minutes);
      cost.cautions.push(...(setting.cautions ?? []));
    }
  for (const part of [...removed, ...inserted.map((x) => x.part)])
    cost.cautions.push(...(handling(part).cautions ?? []));
  cost.steps.push({ text: changeWords(model, before, change), minutes });
}

/** Parts that leave the place they sit in, whatever becomes of them; those put in again on a carrier came out first. */
function removals(before: Setup, after: Setup, inserted: readonly string[]): string[] {
  const all = [...Object.entries(before.fit), ...Object.entries(before.guest)];
  const stays = (position: string, part: string) =>
    after.fit[position] === part || after.guest[position] === part;
  return all.flatMap(([position, part]) =>
    part !== null && (!stays(position, part) || inserted.includes(part)) ? [part] : [],
  );
}

function addRepair(cost: Cost, state: State, { repair, on }: RepairOn): void {
  const { model } = state.belief;
  if (repair.needs) cost.steps.push(reaching(state, repair.needs.reach));
  const where = on === null ? "" : ` · ${partName(model, on)}`;
  cost.steps.push({ text: repair.name + where, minutes: numberOf(repair.minutes) });
  if (repair.cost !== undefined) cost.money += numberOf(repair.cost);
  if (repair.damage) cost.money += numberOf(repair.damage.chance) * numberOf(repair.damage.cost);
  cost.cautions.push(...(repair.cautions ?? []));
}

/**
 * Minutes to get a start that reaches a stage, in the known setup where it comes soonest: handling from here, and
 * Σ_{j<m} P(the first j all miss) tries, rates integrated out; where all m miss, the next best way is taken, if
 * there is one.
 * Source: project model, section 9.
 */
function reaching(state: State, stage: string): Step {
  const { setup, tried } = state.place;
  const known = tried.filter((one) => one.in === setup.in);
  const ways = quickestTwo(
    state,
    stage,
    [setup, ...known].map((wanted) => handlingTo(state, wanted)),
  );
  const best = leastOf(ways);
  const others = ways.filter((way) => way !== best);
  const next = others.length > 0 ? leastOf(others).minutes : 0;
  return { text: best.text, minutes: best.minutes + best.givesUp * next };
}

/** What has to be done to have the machine in another arrangement. */
interface Handling {
  wanted: Setup;
  /** null where it is so already */
  text: string | null;
  minutes: number;
}

interface Way {
  text: string;
  minutes: number;
  /** chance that all the tries miss */
  givesUp: number;
}

function handlingTo({ belief, place }: State, wanted: Setup): Handling {
  const change = changeBetween(place.setup, wanted);
  if (!change) return { wanted, text: null, minutes: 0 };
  const way: Cost = { fixed: 0, perStart: 0, money: 0, steps: [], cautions: [] };
  addChange(way, belief.model, place.setup, change);
  return { wanted, text: way.steps[0]!.text, minutes: way.steps[0]!.minutes };
}

/**
 * Ways among which the two quickest are, in the order of the arrangements: a way takes a start at least, so those whose
 * handling alone is too long are not weighed.
 */
function quickestTwo(state: State, stage: string, arrangements: readonly Handling[]): Way[] {
  const start = numberOf(state.belief.model.catalog.trialMinutes);
  const weighed = new Map<Handling, Way>();
  const distinct = arrangements.filter((one, k) => arrangements.findIndex((x) => x.text === one.text) === k);
  for (const handling of distinct.toSorted((x, y) => x.minutes - y.minutes)) {
    const second = [...weighed.values()].map((way) => way.minutes).sort((x, y) => x - y)[1];
    if (second !== undefined && handling.minutes + start > second) break;
    weighed.set(handling, wayThere(state, stage, handling));
  }
  return distinct.flatMap((handling) => weighed.get(handling) ?? []);
}

/** The first of those that take least: the machine as it is, where nothing is quicker. */
const leastOf = (ways: readonly Way[]): Way =>
  ways.reduce((best, one) => (one.minutes < best.minutes - 1e-9 ? one : best));

function wayThere(state: State, stage: string, { wanted, text: handling, minutes }: Handling): Way {
  const { model } = state.belief;
  const miss = missesIn(state, stage, wanted);
  const tries = miss.slice(0, TRIES).reduce((sum, p) => sum + p, 0);
  const givesUp = miss[TRIES]!;
  const first = handling === null ? "Get" : `${handling} and get`;
  const text = `${first} a start that reaches ${stageName(model, stage)}: about ${tries.toFixed(1)} tries, ${Math.round(100 * givesUp)} % that ${TRIES} are not enough`;
  return { text, minutes: minutes + tries * numberOf(model.catalog.trialMinutes), givesUp };
}

/** By belief: many repairs need the same, from many arrangements. */
const known = new WeakMap<Belief, { moments: MomentStore; misses: Map<string, Float64Array> }>();

/** P(the first j starts in a setup all miss a stage), j = 0 … TRIES. */
function missesIn({ belief, place }: State, stage: string, setup: Setup): Float64Array {
  let own = known.get(belief);
  if (!own) known.set(belief, (own = { moments: new MomentStore(belief, TRIES), misses: new Map() }));
  const name = JSON.stringify([stage, setup]);
  let miss = own.misses.get(name);
  if (!miss) {
    const { model } = belief;
    const { exposure, key } = plannedStep(model, { ...place, setup }, startConditions(model));
    miss = missChances(own.moments, exposure, key, model.outcomeIds.indexOf(stage));
    own.misses.set(name, miss);
  }
  return miss;
}

const stageName = ({ catalog }: Model, id: string) =>
  (catalog.stages.find((s) => s.id === id)?.name ?? "a clean start").toLowerCase();
