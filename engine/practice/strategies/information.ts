/**
 * Information per minute: always the test that tells most for its minutes; a repair when one would cure most of what may be
 * at work; released when a comeback is unlikely enough; given up when nothing tells enough any more.
 */
import { causesInPlay } from "../../belief/fold.js";
import { activity } from "../../belief/summary.js";
import { fixesOf } from "../../plan/fixes.js";
import type { StartsCandidate } from "../../plan/starts.js";
import { pricesOf } from "../../plan/terms.js";
import { deciding, type Action, type Ending, type Known, type Strategy } from "../strategy.js";
import { comebackOf, handover, named, wayTo } from "./handover.js";
import { put } from "./moves.js";
import { mostTelling } from "./rank.js";

/** A comeback less likely than this is let go. */
const LIMIT = 0.08;
/** A cause this likely to be at work is repaired. */
const CONVICTED = 0.5;
/** Where nothing tells more bits a minute than this, testing is at its end: a bit would take two hours. */
const LEAST_RATE = 1 / 120;

function decision(known: Known): Action | Ending {
  const home = handover(known);
  const way = wayTo(home, known);
  const comeback = comebackOf(known, home);
  if (comeback < LIMIT) return way ? put(way) : { kind: "release", named: named(known) };
  const convicted = cureOf(known, CONVICTED);
  if (convicted) return row(convicted.candidate, 1);
  const telling = mostTelling(known);
  if (telling && telling.rate > LEAST_RATE) return row(telling.candidate, telling.n);
  // nothing tells enough any more: what is still worth its price is tried, the likeliest cause first
  const last = cureOf(known, 0);
  if (last && last.chance * known.prices.comeback > last.cost) return row(last.candidate, 1);
  const worthIt = comeback * known.prices.comeback < known.prices.returned;
  if (worthIt && way) return put(way);
  return { kind: worthIt ? "release" : "return", named: named(known) };
}

const row = (candidate: Action["candidate"], n: number): Action => ({
  kind: "do",
  candidate,
  n,
  stopEarly: true,
});

interface Cure {
  candidate: StartsCandidate;
  /** chance that it cures what is at work */
  chance: number;
  /** money, a start included */
  cost: number;
}

/** What cures most for its price, of all that can cure the leading cause; null where that is less likely than `least`. */
function cureOf(known: Known, least: number): Cure | null {
  const { state, ticket } = known;
  const inPlay = causesInPlay(state);
  const atWork = activity(state.belief).map((p, i) => inPlay[i]! * p);
  const leading = atWork.reduce((best, p, i) => (p > atWork[best]! ? i : best), 0);
  if (!(atWork[leading]! > least)) return null;
  const fixes = fixesOf(state, pricesOf(state.belief.model.catalog, ticket), handover(known), {});
  const cures = fixes
    .filter((fix) => fix.clears[leading]! > 0)
    .map((fix) => ({
      candidate: fix.candidate,
      chance: fix.clears.reduce((sum, eta, i) => sum + atWork[i]! * eta, 0),
      cost: fix.cost + fix.perStart,
    }));
  return cures.reduce<Cure | null>((best, c) => (!best || worth(c) > worth(best) ? c : best), null);
}

const worth = ({ chance, cost }: Cure): number => chance / cost;

export const information: Strategy = {
  id: "information",
  name: "Information per minute",
  work: deciding(decision),
};
