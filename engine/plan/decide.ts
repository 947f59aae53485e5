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
import { fixesOf, type NamedFix } from "./fixes.js";
import { homeSetup, homeUse, releaseTerms } from "./home.js";
import { Outlook, type Trial } from "./outlook.js";
import { PROOFS, proofsOf } from "./proof.js";
import { Ranking } from "./rank.js";
import { pricesOf, type Prices } from "./terms.js";
import { EVERY_SIZE, trialsOf, type NamedTrial, type RankedTest } from "./trials.js";

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
}

export interface DecideOptions {
  /** rows of starts to consider; default: every size */
  sizes?: readonly number[];
  /** tests that may follow the first before the finish is priced; default 0 */
  depth?: number;
}

/** Tests that are priced. */
const PRICED = 12;
/** Tests that may follow the first, where one looks further. */
const FOLLOWING = 6;

/** The advice for a ticket as it stands. */
export const decide = (state: State, ticket: Ticket, options: DecideOptions = {}): Decision =>
  decideFrom(new Ranking(state, ticket, "active"), options);

/** @param ranking  by what is at work */
export function decideFrom(ranking: Ranking, options: DecideOptions = {}): Decision {
  const { state, ticket, atoms, stops } = ranking;
  const prices = pricesOf(state.belief.model.catalog, ticket);
  const tests = worthPricing(ranking);
  const finishing = cheapestFinish(state, ticket, prices, atoms);
  const { outlook, finish, fixes } = finishing;
  const ground = { state, atoms, stops, minute: prices.minute };
  const trials = tests.flatMap((test) => trialsOf(ground, test, options.sizes ?? EVERY_SIZE));
  const depth = options.depth ?? 0;
  const further = depth > 0 ? leading(trials, outlook) : [];
  const priced: Option[] = [
    ...trials.map(({ candidate, n, trial }) => ({
      kind: "test" as const,
      candidate,
      n,
      cost: outlook.costAfter(trial, further, depth),
    })),
    ...endings(finishing),
  ].sort((x, y) => x.cost - y.cost);
  return { ...priced[0]!, options: priced, margin: priced[1]!.cost - priced[0]!.cost, finish, fixes };
}

/** Those that tell most by the minute, and plain starts as it is: a repair and its proof are priced by themselves. */
function worthPricing({ all }: Ranking): RankedTest[] {
  const pure = all.filter(({ candidate }) => candidate.kind !== "repair");
  const leading = pure.slice(0, PRICED);
  const asItIs = pure.filter(({ candidate }) => candidate.kind === "starts" && candidate.change === null);
  return [...new Set([...leading, ...asItIs])];
}

/** The tests that would be worth most by themselves. */
function leading(trials: readonly NamedTrial[], outlook: Outlook): Trial[] {
  return trials
    .map(({ trial }) => ({ trial, cost: outlook.costAfter(trial) }))
    .sort((x, y) => x.cost - y.cost)
    .slice(0, FOLLOWING)
    .map(({ trial }) => trial);
}

interface Finishing {
  outlook: Outlook;
  finish: Finish;
  fixes: NamedFix[];
  /** starts that prove a repair */
  proof: number;
}

/** Without any further test: release, give back, or the first of the repairs. */
function endings({ finish, fixes, proof }: Finishing): Option[] {
  const plain: Option[] = [
    { kind: "release", candidate: null, n: 0, cost: finish.release },
    { kind: "return", candidate: null, n: 0, cost: finish.giveBack },
  ];
  const first = fixes[finish.order[0] ?? -1];
  if (!first) return plain;
  const kind = first.candidate.repair ? "repair" : "replace";
  return [...plain, { kind, candidate: first.candidate, n: proof, cost: finish.repair }];
}

/** Finishing by repairs alone, with the length of the proof and the conditions of its starts that make it cheapest. */
function cheapestFinish(state: State, ticket: Ticket, prices: Prices, atoms: readonly Atom[]): Finishing {
  const { belief, place } = state;
  const { model } = belief;
  const inPlay = causesInPlay(state);
  const sets = Int32Array.from(atoms, ({ group }) =>
    indexOfSet(model.sets, ...group.members.filter((i) => inPlay[i])),
  );
  const terms = releaseTerms(model.catalog, ticket);
  const home = homeUse(model, place, homeSetup(model, place, ticket.entries), terms);
  const found = tellingConditions(model, ticket.entries).flatMap((conditions): Finishing[] => {
    const minutes = startConditions(model, conditions);
    const exposure = exposuresOf(model, place.setup, minutes);
    const key = setupKey(place.setup, minutes, place.repairs, model);
    const fixes = fixesOf(state, prices, conditions);
    return proofsOf(belief, exposure, key, home).map((proof, k) => {
      const n = PROOFS[k]!;
      const finisher = new Finisher({
        sets: model.sets,
        fixes: fixes.map(({ cost, perStart, clears }) => ({ cost: cost + n * perStart, clears })),
        proof,
        comeback: prices.comeback,
        giveBack: prices.giveBack,
      });
      const outlook = new Outlook(finisher, atoms, belief.unlistedMass, sets);
      return { outlook, finish: finisher.of(outlook.masses()), fixes, proof: n };
    });
  });
  return found.reduce((best, one) => (one.finish.cost < best.finish.cost ? one : best));
}
