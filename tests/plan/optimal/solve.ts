/**
 * The least expected cost of a small world, bracketed as closely as asked: dynamic programming over belief states.
 *
 * Nothing bounds the number of starts or repairs. Each state carries a value that the optimum cannot lie below and one that a
 * known way to go on achieves; V(b) = min over moves of cost + Σ P(seen) V(b after) tightens both wherever they are
 * worst, along the moves that look best. Where they meet is the optimum.
 * Source, from memory: bounded real-time dynamic programming, McMahan, Likhachev & Gordon 2005 (ICML); lower values at
 * first by the fast informed bound, Hauskrecht 2000 (JAIR 13).
 */
import { randomLcg } from "d3-random";
import { blindWays, informedBound, least } from "./bounds.js";
import {
  costOf,
  dot,
  homeCost,
  keyOf,
  movesOf,
  resultsOf,
  startNode,
  type Move,
  type Node,
  type World,
} from "./world.js";

export interface Solution {
  low: number;
  high: number;
  /** states whose moves were written out */
  states: number;
  /** the best known move from a state, and the bracket there */
  best(node: Node): { move: Move; low: number; high: number };
}

interface Place {
  node: Node;
  low: number;
  high: number;
  ways: Way[] | null;
}

interface Way {
  move: Move;
  cost: number;
  low: number;
  next: { chance: number; place: Place }[];
}

/** @param within  width of the bracket at which the search ends, relative to its upper end
 *  @param most     states at which it ends in any case */
export function solve(world: World, within = 0.005, most = 20_000): Solution {
  const search = new Search(world);
  const root = search.placeOf(startNode(world));
  const open = () => root.high - root.low > within * root.high;
  while (open() && search.states < most) search.deepen(root);
  return {
    low: root.low,
    high: root.high,
    states: search.states,
    best(node) {
      const place = search.placeOf(node);
      const last = search.states + AFTERWARDS;
      while (place.high - place.low > within * root.high && search.states < last) search.deepen(place);
      return { move: search.bestMove(place), low: place.low, high: place.high };
    },
  };
}

/** A walk that long has come round. */
const LONGEST = 100;
/** Brackets narrower than this share of the first one are left alone. */
const NARROW = 0.01;
const ROUNDING = 1e-9;
/** States written out to answer for one that the search had no need of. */
const AFTERWARDS = 300;
const POINTS = 200;

class Search {
  states = 0;
  private readonly places = new Map<string, Place>();
  private readonly lower: number[][];
  private readonly upper: number[][];
  /** lower ends where z is known */
  private readonly corners: number[];
  private readonly points: { place: Place; corners: number }[] = [];
  private readonly uniform = randomLcg(0.5);

  constructor(private readonly world: World) {
    this.lower = informedBound(world);
    this.upper = blindWays(world);
    this.corners = world.prior.map((_, z) => Math.min(...this.lower.map((v) => v[z]!)));
  }

  placeOf(node: Node): Place {
    const key = keyOf(node);
    let place = this.places.get(key);
    if (!place) {
      const low = this.chord(node, least(this.lower, node.belief));
      const high = least(this.upper, node.belief) + homeCost(this.world, node);
      place = { node, low, high, ways: null };
      this.places.set(key, place);
    }
    return place;
  }

  /** One walk from a state along the moves that look best, drawn towards wide brackets, up to a new state, and back. */
  deepen(from: Place): void {
    const path: Place[] = [];
    for (let place: Place | null = from; place && path.length < LONGEST;) {
      const isNew: boolean = place.ways === null;
      path.push(place);
      const way: Way = this.tighten(place);
      place = isNew && path.length > 1 ? null : this.drawn(way, (from.high - from.low) * NARROW);
    }
    for (const one of path.reverse()) this.tighten(one);
  }

  /** A state after a move, drawn in proportion to its chance and the width of its bracket; none where all are narrow. */
  private drawn({ next }: Way, narrow: number): Place | null {
    let sum = 0;
    for (const { chance, place } of next) sum += chance * (place.high - place.low);
    if (sum < narrow) return null;
    let left = this.uniform() * sum;
    for (const { chance, place } of next) if ((left -= chance * (place.high - place.low)) < 0) return place;
    return null;
  }

  /**
   * The optimum is concave in the chances of z, so it lies above the line between any known state and the corners. States
   * with fewer looks held and more told can do no worse.
   */
  private chord({ belief, held, setting, told }: Node, low: number): number {
    const corners = dot(this.corners, belief);
    for (const { place, corners: own } of this.points) {
      const { node } = place;
      const gain = place.low - own;
      if (node.setting !== setting || node.held & ~held || told & ~node.told || corners + gain <= low)
        continue;
      let share = 1;
      for (let z = 0; z < belief.length; z++) {
        const p = node.belief[z]!;
        if (p * share > belief[z]!) share = belief[z]! / p;
      }
      if (corners + share * gain > low) low = corners + share * gain;
    }
    return low;
  }

  /** Both ends of the bracket from those of the states after; the move whose lower end is least. */
  private tighten(place: Place): Way {
    let [low, high] = [Infinity, Infinity];
    let best: Way | null = null;
    const ways = this.waysOf(place);
    for (const way of ways) {
      let wayHigh = way.cost;
      way.low = way.cost;
      for (const { chance, place: after } of way.next) {
        way.low += chance * after.low;
        wayHigh += chance * after.high;
      }
      if (way.low < low) [low, best] = [way.low, way];
      if (wayHigh < high) high = wayHigh;
    }
    place.low = Math.max(place.low, low);
    place.high = Math.min(place.high, high);
    // what cannot be better than a known way never will be; rounding may not take the best
    if (ways.some((way) => way.low > place.high + ROUNDING))
      place.ways = ways.filter((way) => way.low <= place.high + ROUNDING);
    return best!;
  }

  /** The move that a known way to go on begins with, or the one whose upper end is least. */
  bestMove(place: Place): Move {
    const high = (way: Way) => way.next.reduce((sum, n) => sum + n.chance * n.place.high, way.cost);
    return this.waysOf(place).reduce((top, way) => (high(way) < high(top) ? way : top)).move;
  }

  private waysOf(place: Place): Way[] {
    if (place.ways) return place.ways;
    this.states++;
    if (this.points.length < POINTS)
      this.points.push({ place, corners: dot(this.corners, place.node.belief) });
    const { world } = this;
    const ways = movesOf(world, place.node).map((move): Way => ({
      move,
      cost: costOf(world, place.node, move),
      low: 0,
      next: resultsOf(world, place.node, move).map(({ chance, node }) => ({
        chance,
        place: this.placeOf(node),
      })),
    }));
    // what changes nothing is never worth doing, and would be walked round for ever if it were free
    return (place.ways = ways.filter(({ next }) => next.length === 0 || next.some((n) => n.place !== place)));
  }
}
