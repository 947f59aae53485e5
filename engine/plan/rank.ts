/**
 * Every candidate ranked by expected information per minute of work.
 *
 * One start and two are weighed for every candidate, exactly. Larger batches, and those that end at their first stop, are
 * weighed for every candidate by their clean starts alone, which is exact and at most what they tell; the leading ones in
 * full while a budget of work lasts: those that end at the first stop, and those small enough to enumerate. What is left
 * of the best is estimated by seeded walks with their standard error.
 */
import type { State } from "../belief/fold.js";
import { countSpaceSize } from "../belief/counts.js";
import type { Ticket } from "../ticket/schema.js";
import { atomsOf, type Atom, type Target } from "./atoms.js";
import { CleanRuns, FirstStops } from "./batches.js";
import { candidatesOf, type Candidate } from "./candidates.js";
import { StartsInformation } from "./information.js";
import type { StartsPlan } from "./leafSums.js";
import { lookInformation, tiedTo, type Look } from "./looks.js";
import { costOf, type Cost } from "./minutes.js";
import { Runs } from "./runs.js";
import { isStarts, planOf } from "./starts.js";
import { pricesOf } from "./terms.js";
import { walkedInformation } from "./walked.js";

/** Batch sizes that are weighed exactly for every candidate. */
const ALWAYS = [1, 2] as const;
/** Leaves × active sets that all the larger batches together may cost, and that one may cost to be enumerated. */
const BUDGET = 4e5;
const ENUMERATED = 2e5;
/** Larger batches than this have too many outcomes to enumerate for a machine of some stages. */
const ENUMERABLE = 4;
/** Candidates whose larger batches are weighed in full. */
const PROMISING = 8;
/** Outcomes × active sets that a walk may pass through. */
const WALKED = 5e5;
/** A look is never quicker than this, in minutes: what is free is not infinitely good. */
export const LEAST_MINUTES = 0.1;

export interface Size {
  n: number;
  /** the row ends at its first stop */
  stopEarly: boolean;
  bits: number;
  /** standard error, 0 where exact */
  error: number;
  /** the bits are at least these */
  bound: boolean;
  minutes: number;
  /** minutes with money at the labour rate */
  priced: number;
}

export interface Ranked {
  candidate: Candidate;
  cost: Cost;
  /** null for a look */
  plan: StartsPlan | null;
  sizes: Size[];
  best: Size;
}

/** Bits per minute, money counted. */
export const rateOf = ({ bits, priced }: Size): number => bits / priced;

const bestOf = (sizes: readonly Size[]): Size =>
  sizes.reduce((top, s) => (rateOf(s) > rateOf(top) ? s : top));

const byRate = (x: Ranked, y: Ranked): number => rateOf(y.best) - rateOf(x.best);

export class Ranking {
  readonly atoms: readonly Atom[];
  readonly stops: FirstStops;
  /** best first */
  readonly all: Ranked[];
  private readonly cleanRuns: CleanRuns;
  private readonly informations = new Map<number, StartsInformation>();
  private readonly minute: number;

  constructor(
    readonly state: State,
    readonly ticket: Ticket,
    readonly target: Target = ticket.options?.target ?? "active",
  ) {
    const { belief } = state;
    this.minute = pricesOf(belief.model.catalog, ticket).minute;
    this.atoms = atomsOf(belief, target);
    const runs = new Runs(belief);
    this.stops = new FirstStops(belief, target, this.atoms, runs);
    this.cleanRuns = new CleanRuns(belief, target, this.atoms, runs);
    this.all = candidatesOf(state, ticket.entries).map((candidate) => this.weigh(candidate));
    this.inFull();
    this.all.sort(byRate);
  }

  information(n: number): StartsInformation {
    let made = this.informations.get(n);
    if (!made)
      this.informations.set(n, (made = new StartsInformation(this.state.belief, n, this.target, this.atoms)));
    return made;
  }

  /** By one start and two and by the clean ones among more, or by the look itself. */
  weigh(candidate: Candidate): Ranked {
    const cost = costOf(this.state, candidate);
    if (isStarts(candidate)) {
      const plan = planOf(this.state, candidate);
      const few = ALWAYS.map((n) => this.size(cost, n, this.information(n).of(plan).bits));
      const sizes = [...few, ...this.byCleanRuns(cost, plan)];
      return { candidate, cost, plan, sizes, best: bestOf(sizes) };
    }
    const size = this.size(cost, 1, this.lookBits(candidate));
    return { candidate, cost, plan: null, sizes: [size], best: size };
  }

  private lookBits(look: Look): number {
    const { belief, place } = this.state;
    const tied = tiedTo(belief.model, place.setup, look);
    return lookInformation(belief, this.atoms, look, tied, this.target);
  }

  private size(cost: Cost, n: number, bits: number, more: Partial<Size> & { starts?: number } = {}): Size {
    const { starts = n, ...rest } = more;
    const minutes = cost.fixed + starts * cost.perStart;
    const money = this.minute > 0 ? cost.money / this.minute : 0;
    const priced = Math.max(LEAST_MINUTES, minutes + money);
    return { n, stopEarly: false, bits, error: 0, bound: false, minutes, priced, ...rest };
  }

  private byCleanRuns(cost: Cost, plan: StartsPlan): Size[] {
    const { counted, stopping } = this.cleanRuns.of(plan);
    return [
      ...counted.map(({ n, bits }) => this.size(cost, n, bits, { bound: true })),
      ...stopping.map(({ n, bits, starts }) =>
        this.size(cost, n, bits, { bound: true, stopEarly: true, starts }),
      ),
    ];
  }

  private inFull(): void {
    const starts = this.all.filter((one) => one.plan !== null).sort(byRate);
    let budget = BUDGET;
    for (const one of starts.slice(0, PROMISING)) {
      this.firstStops(one);
      for (const size of one.sizes.filter((s) => s.bound && !s.stopEarly && s.n <= ENUMERABLE)) {
        const work = countSpaceSize(size.n, this.outcomes) * this.atoms.length;
        if (work > ENUMERATED || work > budget) continue;
        budget -= work;
        Object.assign(size, { bits: this.information(size.n).of(one.plan!).bits, bound: false });
      }
      one.best = bestOf(one.sizes);
    }
    const leading = starts.sort(byRate)[0];
    if (leading?.best.bound && !leading.best.stopEarly) this.walk(leading);
  }

  private firstStops({ plan, sizes }: Ranked): void {
    const full = this.stops.of(plan!);
    for (const size of sizes)
      if (size.stopEarly)
        Object.assign(size, { bits: full.find(({ n }) => n === size.n)!.bits, bound: false });
  }

  /** What the stages add where a best size is still known by its clean starts alone. */
  private walk(one: Ranked): void {
    const { n } = one.best;
    if (n * n * this.outcomes * this.atoms.length > WALKED) return;
    const counted = new StartsInformation(this.state.belief, n, this.target, this.atoms, "clean");
    const { bits, error } = walkedInformation(counted, one.plan!, n);
    Object.assign(one.best, { bits, error, bound: false });
  }

  private get outcomes(): number {
    return this.state.belief.model.stages.outcomes;
  }
}
