/**
 * What to do next, by money: test on, repair, replace, release, or give the machine back.
 *
 * Each is priced by the expected cost from here to the end if it is done next; the least is the advice, and what the next
 * best would cost more is its margin. Source: project model, sections 9 and 10.
 */
import { causesInPlay, type State } from "../belief/fold.js";
import { exposuresOf } from "../belief/model.js";
import { startConditions } from "../belief/compile.js";
import { indexOfSet } from "../belief/sets.js";
import type { Ticket } from "../ticket/schema.js";
import { setupKey } from "../ticket/setup.js";
import type { Atom } from "./atoms.js";
import { tellingConditions, type Candidate } from "./candidates.js";
import { Finisher, type Finish } from "./finish.js";
import { LiveSets } from "./liveSets.js";
import { fixesOf, type NamedFix } from "./fixes.js";
import { homeUse, readySetups, releaseTerms } from "./home.js";
import { minutesBetween } from "./minutes.js";
import { Outlook, type Trial } from "./outlook.js";
import { PROOFS, proofsOf } from "./proof.js";
import { Ranking, type Ranked } from "./rank.js";
import { isStarts } from "./starts.js";
import { pricesOf, type Prices } from "./terms.js";
import { EVERY_SIZE, trialsOf, type NamedTrial } from "./trials.js";

export type Action = "test" | "repair" | "replace" | "release" | "return";

export interface Option {
  kind: Action;
  /** null for release and return */
  candidate: Candidate | null;
  /** starts at most: of the test, or of the row that proves a repair */
  n: number;
  /** expected money from here to the end */
  cost: number;
}

export interface Decision extends Option {
  /** every option, least cost first */
  options: Option[];
  /** what the next best would cost more */
  margin: number;
  /** finishing without any further test */
  finish: Finish;
  /** what `finish.order` points to */
  fixes: NamedFix[];
  /** starts that prove a fix */
  proof: number;
  prices: Prices;
}

export interface DecideOptions {
  /** tests that may follow the first before the finish is priced; default 1 where there are few active sets, else 0 */
  depth?: number;
}

/** Active sets up to which every size of a row of starts is priced, and a step further looked. */
const FEW = 500;
/** Tests that are priced. */
const PRICED = 12;
/** Tests for which one looks further, and tests that may then follow. */
const LEADING = 6;
const FOLLOWING = 4;

/** The advice for a ticket as it stands. */
export const decide = (state: State, ticket: Ticket, options: DecideOptions = {}): Decision =>
  decideFrom(new Ranking(state, ticket, "active"), options);

/** @param ranking  by what is at work */
export function decideFrom(ranking: Ranking, options: DecideOptions = {}): Decision {
  let last: Decision | null = null;
  for (const decision of decisions(ranking, options)) last = decision;
  return last!;
}

/**
 * The decision without looking further, then again after each test that one has looked further from. Nothing is drawn, so
 * there is no standard error; looking further only ever lowers a cost, and a caller may stop at any point.
 */
export function* decisions(ranking: Ranking, options: DecideOptions = {}): Generator<Decision, void> {
  const { state, ticket, atoms, stops } = ranking;
  const prices = pricesOf(state.belief.model.catalog, ticket);
  const tests = worthPricing(ranking);
  const finishing = cheapestFinish(state, ticket, prices, atoms);
  const { outlook, finish, fixes } = finishing;
  const ground = { state, atoms, stops, minute: prices.minute };
  const trials = tests.flatMap((test) => trialsOf(ground, test, sizesFor(test, atoms.length)));
  const tested = trials.map((one): Priced => ({ ...one, cost: outlook.costAfter(one.trial) }));
  const depth = options.depth ?? (atoms.length <= FEW ? 1 : 0);
  const decided = (): Decision => {
    const priced: Option[] = [
      ...tested.map(({ candidate, n, cost }): Option => {
        return { kind: "test", candidate, n, cost: finishing.way + cost };
      }),
      ...endings(finishing),
    ].sort((x, y) => x.cost - y.cost);
    const margin = priced[1]!.cost - priced[0]!.cost;
    return { ...priced[0]!, options: priced, margin, finish, fixes, proof: finishing.proof, prices };
  };
  yield decided();
  if (depth === 0) return;
  const { leading, following } = leadingOf(tested);
  for (const one of leading) {
    one.cost = outlook.costAfter(one.trial, following, depth);
    yield decided();
  }
}

interface Priced extends NamedTrial {
  cost: number;
}

/** The tests to look further from, and those that may follow each answer. */
function leadingOf(tested: readonly Priced[]): { leading: Priced[]; following: Trial[] } {
  const seen = new Set<Candidate>();
  const leading = [...tested]
    .sort((x, y) => x.cost - y.cost)
    .filter(({ candidate }) => !seen.has(candidate) && seen.add(candidate));
  return {
    leading: leading.slice(0, LEADING),
    following: leading.slice(0, FOLLOWING).map(({ trial }) => trial),
  };
}

/** Every size where that is quickly done; otherwise the one that tells most by the minute. */
function sizesFor({ best, candidate }: Ranked, atoms: number): readonly number[] {
  if (atoms <= FEW) return EVERY_SIZE;
  return isStarts(candidate) && candidate.change === null ? [1, 3, 6, 12] : [best.n];
}

/** Those that tell most by the minute, and plain starts as it is: a repair and its proof are priced by themselves. */
function worthPricing({ all }: Ranking): Ranked[] {
  const pure = all.filter(({ candidate }) => candidate.kind !== "repair");
  const leading = pure.slice(0, PRICED);
  const asItIs = pure.filter(({ candidate }) => candidate.kind === "starts" && candidate.change === null);
  return [...new Set([...leading, ...asItIs])];
}

export interface Finishing {
  finisher: Finisher;
  outlook: Outlook;
  finish: Finish;
  fixes: NamedFix[];
  /** starts that prove a repair */
  proof: number;
  /** money to the arrangement of the proof: whatever ends it pays that */
  way: number;
}

/** Without any further test: release, give back, or the first of the repairs. */
function endings({ finish, fixes, proof, way }: Finishing): Option[] {
  const plain: Option[] = [
    { kind: "release", candidate: null, n: 0, cost: way + finish.release },
    { kind: "return", candidate: null, n: 0, cost: way + finish.giveBack },
  ];
  const first = fixes[finish.order[0] ?? -1];
  if (!first) return plain;
  const kind = first.candidate.repair ? "repair" : "replace";
  return [...plain, { kind, candidate: first.candidate, n: proof, cost: way + finish.repair }];
}

/** Finishing by repairs alone, with the proof that makes it cheapest. */
function cheapestFinish(state: State, ticket: Ticket, prices: Prices, atoms: readonly Atom[]): Finishing {
  const total = ({ finish, way }: Finishing) => finish.cost + way;
  return finishings(state, ticket, prices, atoms).reduce((best, one) =>
    total(one) < total(best) ? one : best,
  );
}

/**
 * Finishing by repairs alone, for every arrangement, conditions and number of the starts of the proof. Whatever was left
 * out goes back in first, which every ending pays.
 */
export function finishings(
  state: State,
  ticket: Ticket,
  prices: Prices,
  atoms: readonly Atom[],
): Finishing[] {
  const { belief, place } = state;
  const { model } = belief;
  const terms = releaseTerms(model.catalog, ticket);
  const ready = readySetups(model, place, ticket.entries);
  const atHome = ready.at(-1)!;
  const home = homeUse(model, place, atHome, terms);
  const { places, live } = setsInUse({ ...state, place: { ...place, setup: atHome } }, atoms);
  return ready.flatMap((setup) =>
    tellingConditions(model, ticket.entries).flatMap((conditions): Finishing[] => {
      const minutes = startConditions(model, conditions);
      const exposure = exposuresOf(model, setup, minutes);
      const key = setupKey(setup, minutes, place.repairs, model);
      const fixes = fixesOf(state, prices, setup, conditions);
      const way = minutesBetween(model, place.setup, setup) * prices.minute;
      return proofsOf(belief, exposure, key, home).map((proof, k) => {
        const n = PROOFS[k]!;
        const finisher = new Finisher({
          live,
          fixes: fixes.map(({ cost, perStart, clears }) => ({ cost: cost + n * perStart, clears })),
          proof,
          comeback: prices.comeback,
          giveBack: prices.giveBack,
        });
        const outlook = new Outlook(finisher, atoms, belief.unlistedMass, places);
        return { finisher, outlook, finish: finisher.of(outlook.masses()), fixes, proof: n, way };
      });
    }),
  );
}

/** Share of the mass whose sets are taken for the more likely of their causes alone. */
const COARSE = 1e-3;

/** The sets in use, with all that may be left of them; and for each atom the place of its members in use among them. */
function setsInUse(state: State, atoms: readonly Atom[]): { places: Int32Array; live: LiveSets } {
  const { sets } = state.belief.model;
  const inPlay = causesInPlay(state);
  const own = Int32Array.from(atoms, ({ group }) =>
    indexOfSet(sets, ...group.members.filter((i) => inPlay[i])),
  );
  const mass = new Float64Array(sets.count);
  atoms.forEach(({ group }, k) => (mass[own[k]!] = mass[own[k]!]! + group.mass));
  const large = [...mass.keys()].filter((f) => sets.size[f]! > 1).sort((x, y) => mass[x]! - mass[y]!);
  const coarse = new Set<number>();
  for (let k = 0, sum = 0; k < large.length && (sum += mass[large[k]!]!) < COARSE; k++) coarse.add(large[k]!);
  const likeliest = (list: readonly number[]) =>
    list.reduce((top, i) => (mass[sets.start[1]! + i]! > mass[sets.start[1]! + top]! ? i : top));
  const isLive = (f: number) =>
    sets.size[f]! < 2 || (sets.size[f] === 2 && sets.maxCauses === 3) || (mass[f]! > 0 && !coarse.has(f));
  const live = new LiveSets(sets, [...mass.keys()].filter(isLive));
  const placeOf = (f: number) => live.placeOf(coarse.has(f) ? [likeliest(sets.lists[f]!)] : sets.lists[f]!);
  return { places: own.map(placeOf), live };
}
