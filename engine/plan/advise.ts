/**
 * The advice: every candidate ranked by expected information per minute of work.
 *
 * One start and two are weighed for every candidate, exactly. Larger batches are weighed for every candidate by the number
 * of their clean starts alone, which is exact and at most what they tell; the best in full while a budget of work lasts:
 * exactly where the counts can be enumerated, and otherwise by seeded walks with their standard error.
 */
import { numberOf } from "../catalog/figures.js";
import type { State } from "../belief/fold.js";
import { countSpaceSize } from "../belief/counts.js";
import { findingTied, readingTied } from "../belief/compile.js";
import type { Ticket } from "../ticket/schema.js";
import type { Advice, AnswerView, TestView } from "../weighing.js";
import { candidatesOf, type Candidate } from "./candidates.js";
import { costOf, type Cost } from "./minutes.js";
import { atomsOf, targetEntropy, type Atom, type Target } from "./atoms.js";
import { StartsInformation } from "./information.js";
import type { StartsPlan } from "./leafSums.js";
import { walkedInformation } from "./walked.js";
import { findingAnswers, findingInformation, readingAnswers, readingInformation } from "./looks.js";
import { lookAnswers, startsAnswers } from "./answers.js";
import { isStarts, planOf, type StartsCandidate } from "./starts.js";
import { titleOf } from "./words.js";

/** Batch sizes that are considered (project model, section 9). */
export const SIZES = [1, 2, 3, 4, 6, 8, 12] as const;
const ALWAYS = 2;
const LARGER = SIZES.filter((n) => n > ALWAYS);
/** Leaves × active sets that all the larger batches together may cost, and that one may cost to be enumerated. */
const BUDGET = 6e6;
const ENUMERATED = 2e6;
/** Larger batches are weighed in full for this many candidates, and walked where that is too much for this many. */
const PROMISING = 8;
const WALKED = 2;
/** Tests that are shown. */
const SHOWN = 40;
const LABOUR_PER_HOUR = 40;
/** A look is never quicker than this, in minutes: what is free is not infinitely good. */
const LEAST_MINUTES = 0.1;

interface Size {
  n: number;
  bits: number;
  error: number;
  minutes: number;
  /** minutes with money at the labour rate */
  priced: number;
  bound: boolean;
}

interface Weighed {
  candidate: Candidate;
  cost: Cost;
  plan: StartsPlan | null;
  sizes: Size[];
  best: Size;
}

export function advise(state: State, ticket: Ticket): Advice {
  const target = ticket.options?.target ?? "active";
  const context = new Context(state, ticket, target);
  const weighed = candidatesOf(state, ticket.entries).map((candidate) => context.weigh(candidate));
  context.largerBatches(weighed);
  const ranked = weighed.sort((x, y) => rate(y.best) - rate(x.best)).slice(0, SHOWN);
  return { target, entropy: context.entropy, tests: ranked.map((one) => context.view(one, ranked[0]!)) };
}

const rate = ({ bits, priced }: Size) => bits / priced;

class Context {
  readonly entropy: number;
  private readonly atoms: Atom[];
  private readonly informations = new Map<number, StartsInformation>();
  private readonly counts = new Map<number, StartsInformation>();
  private readonly labourPerMinute: number;

  constructor(
    private readonly state: State,
    ticket: Ticket,
    private readonly target: Target,
  ) {
    const perHour =
      ticket.labourPerHour ?? numberOf(state.belief.model.catalog.labourPerHour ?? LABOUR_PER_HOUR);
    this.labourPerMinute = perHour / 60;
    this.atoms = atomsOf(state.belief, target);
    this.entropy = targetEntropy(state.belief, target);
  }

  private information(n: number): StartsInformation {
    let made = this.informations.get(n);
    if (!made)
      this.informations.set(n, (made = new StartsInformation(this.state.belief, n, this.target, this.atoms)));
    return made;
  }

  /** One start and two, or the look itself. */
  weigh(candidate: Candidate): Weighed {
    const cost = costOf(this.state, candidate);
    if (isStarts(candidate)) {
      const plan = planOf(this.state, candidate);
      const sizes = SIZES.filter((n) => n <= ALWAYS).map((n) =>
        this.size(cost, n, this.information(n).of(plan).bits, 0, false),
      );
      return { candidate, cost, plan, sizes, best: bestOf(sizes) };
    }
    const size = this.size(cost, 1, this.lookBits(candidate), 0, false);
    return { candidate, cost, plan: null, sizes: [size], best: size };
  }

  private lookBits(candidate: Exclude<Candidate, StartsCandidate>): number {
    const { belief, place } = this.state;
    if (candidate.kind === "finding") {
      const tied = findingTied(belief.model, place.setup, candidate.finding, candidate.on ?? undefined);
      return findingInformation(belief, this.atoms, candidate.finding, tied, this.target);
    }
    const tied = readingTied(belief.model, place.setup, candidate.reading, candidate.on ?? undefined);
    return readingInformation(belief, this.atoms, candidate.reading, tied, this.target);
  }

  /** @param bound  the bits are at least these */
  private size(cost: Cost, n: number, bits: number, error: number, bound: boolean): Size {
    const minutes = cost.fixed + n * cost.perStart;
    const money = this.labourPerMinute > 0 ? cost.money / this.labourPerMinute : 0;
    return { n, bits, error, minutes, priced: Math.max(LEAST_MINUTES, minutes + money), bound };
  }

  /**
   * Larger batches: by their clean starts alone for every candidate, which is exact and at most what they tell; then in
   * full, best first, while the budget lasts.
   */
  largerBatches(all: readonly Weighed[]): void {
    const starts = all.filter((one) => one.plan !== null);
    for (const one of starts) {
      for (const n of LARGER)
        one.sizes.push(this.size(one.cost, n, this.counted(n).of(one.plan!).bits, 0, true));
      one.best = bestOf(one.sizes);
    }
    let budget = BUDGET;
    starts.sort((x, y) => rate(y.best) - rate(x.best));
    for (const one of starts.slice(0, PROMISING)) {
      for (const size of one.sizes.filter((s) => s.bound)) {
        const work = countSpaceSize(size.n, this.outcomes) * this.atoms.length;
        if (work > ENUMERATED || work > budget) continue;
        budget -= work;
        Object.assign(
          size,
          this.size(one.cost, size.n, this.information(size.n).of(one.plan!).bits, 0, false),
        );
      }
      one.best = bestOf(one.sizes);
    }
    this.walk(starts.sort((x, y) => rate(y.best) - rate(x.best)).slice(0, WALKED));
  }

  /** What the stages add where a best size is still known by its clean starts alone. */
  private walk(leading: readonly Weighed[]): void {
    for (const one of leading) {
      if (!one.best.bound) continue;
      const { bits, error } = walkedInformation(this.counted(one.best.n), one.plan!, one.best.n);
      Object.assign(one.best, this.size(one.cost, one.best.n, bits, error, false));
    }
  }

  private counted(n: number): StartsInformation {
    let made = this.counts.get(n);
    if (!made)
      this.counts.set(
        n,
        (made = new StartsInformation(this.state.belief, n, this.target, this.atoms, "clean")),
      );
    return made;
  }

  private get outcomes(): number {
    return this.state.belief.model.stages.outcomes;
  }

  view(one: Weighed, first: Weighed): TestView {
    const { candidate, cost, best } = one;
    const { model } = this.state.belief;
    const starts = isStarts(candidate) ? candidate : null;
    return {
      id: idOf(candidate),
      kind: candidate.kind,
      title: titleOf(model, this.state.place.setup, candidate, best.n),
      steps: cost.steps,
      change: starts?.change ? definedOnly(starts.change) : null,
      repair: starts?.repair ? { repair: starts.repair.repair.id, on: starts.repair.on } : null,
      conditions: starts?.conditions ?? {},
      finding: candidate.kind === "finding" ? { id: candidate.finding.id, on: candidate.on } : null,
      reading: candidate.kind === "reading" ? { id: candidate.reading.id, on: candidate.on } : null,
      n: best.n,
      minutes: best.minutes,
      money: cost.money,
      minutesWithMoney: best.priced,
      bits: best.bits,
      bitsError: best.error,
      atLeast: best.bound,
      bitsPerMinute: rate(best),
      answers: this.answers(one),
      cautions: cautionsOf(cost, model.catalog.cautions ?? []),
      whyNot: one === first ? null : whyNot(best, first.best),
      sizes: one.sizes.map((s) => ({
        n: s.n,
        bits: s.bits,
        bitsError: s.error,
        minutes: s.minutes,
        bitsPerMinute: rate(s),
        bound: s.bound,
      })),
    };
  }

  /** What every answer would do; for a batch too large to enumerate, what its first start would. */
  private answers({ candidate, plan, best }: Weighed): AnswerView[] {
    const { belief, place } = this.state;
    if (isStarts(candidate)) {
      const n = best.error > 0 || best.bound ? ALWAYS : best.n;
      return startsAnswers(this.information(n), plan!);
    }
    if (candidate.kind === "finding") {
      const tied = findingTied(belief.model, place.setup, candidate.finding, candidate.on ?? undefined);
      return lookAnswers(belief, this.atoms, findingAnswers(belief, candidate.finding), tied);
    }
    const tied = readingTied(belief.model, place.setup, candidate.reading, candidate.on ?? undefined);
    return lookAnswers(belief, this.atoms, readingAnswers(belief, candidate.reading), tied);
  }
}

const bestOf = (sizes: readonly Size[]): Size => sizes.reduce((top, s) => (rate(s) > rate(top) ? s : top));

function definedOnly(change: NonNullable<StartsCandidate["change"]>): NonNullable<TestView["change"]> {
  return Object.fromEntries(Object.entries(change).filter(([, value]) => value !== undefined));
}

function idOf(candidate: Candidate): string {
  if (candidate.kind === "finding") return `finding ${candidate.finding.id} ${candidate.on ?? ""}`.trim();
  if (candidate.kind === "reading") return `reading ${candidate.reading.id} ${candidate.on ?? ""}`.trim();
  const { change, repair, conditions } = candidate;
  return `starts ${JSON.stringify({ change, repair: repair && [repair.repair.id, repair.on], conditions })}`;
}

function cautionsOf(cost: Cost, all: readonly { id: string; text: string; danger?: boolean | undefined }[]) {
  return all
    .filter((caution) => cost.cautions.includes(caution.id))
    .map(({ text, danger }) => ({ text, danger: danger ?? false }));
}

function whyNot(own: Size, first: Size): string {
  if (own.bits < 1e-4) return "would tell nothing now";
  if (own.priced > own.minutes * 1.5 && own.priced > first.priced) return "costs too much for what it tells";
  if (own.bits < first.bits && own.priced >= first.priced) return "tells less and takes no less work";
  if (own.bits < first.bits) return "tells less, even for the shorter work";
  return "takes longer than what it adds is worth";
}
