/**
 * Does tuning help on tickets that it has not seen?
 *
 * Confirmed tickets are left out, by time where days are told (the latest fifth, or so), else a fifth at a time; the others
 * are fitted; and each ticket left out is asked: how likely was the cause that was confirmed, given what the ticket showed,
 * before tuning and after? The verdict is by the log score (a proper one, local: Good 1952): the mean gain in bits of
 * tickets in pairs, with its 95 % interval.
 */
import { catalogFigures } from "../fit/figures.js";
import { fit, type FitOptions } from "../fit/fit.js";
import { Mixture, normalised } from "../fit/mixture.js";
import type { Start } from "../fit/start.js";
import type { Gathered, Kept } from "../gather.js";
import { splitsOf } from "./splits.js";
import { addForecast, brierParts, emptyBin, wilson, type Bin } from "./brier.js";
import type { CalibrationView, ScoresView } from "../tuning.js";

const BINS = 10;
const Z90 = 1.6448536269514722;
const Z95 = 1.959963984540054;
/** Fewer tickets than this decide nothing. */
const FEWEST = 30;
/** Passes of a fit that is only tried out. */
export const PASSES = 15;

/** @returns null where there are too few confirmed tickets, or all are of one quarter */
export function calibrate(
  start: Start,
  gathered: Gathered,
  options: FitOptions,
  progress: (share: number) => void = () => {},
): CalibrationView | null {
  const { tickets, every } = gathered.kept;
  const { splits, how } = splitsOf(gathered);
  if (tickets.length < FEWEST || splits.length === 0) return null;
  const [before, after] = [new Scores(start), new Scores(start)];
  const gains: number[] = [];
  splits.forEach(({ train, test }, k) => {
    const material = gathered.of(train);
    const tuned = fit(start, material, { ...options, passes: PASSES }).figures;
    const untuned = catalogFigures(start, tuned.events.rate);
    const mixtures = [untuned, tuned].map((f) => new Mixture(start.space, f));
    for (const one of tickets) {
      if (!test.has(one.bucket)) continue;
      gains.push(after.add(mixtures[1]!, one) - before.add(mixtures[0]!, one));
    }
    progress((k + 1) / splits.length);
  });
  if (gains.length < FEWEST) return null;
  return { how, tickets: gains.length, every, before: before.view(), after: after.view(), ...verdict(gains) };
}

function verdict(gains: readonly number[]): Pick<CalibrationView, "gain" | "low" | "high" | "helps"> {
  const gain = gains.reduce((sum, g) => sum + g, 0) / gains.length;
  const variance = gains.reduce((sum, g) => sum + (g - gain) ** 2, 0) / (gains.length - 1);
  const half = Z95 * Math.sqrt(variance / gains.length);
  return { gain, low: gain - half, high: gain + half, helps: gain - half > 0 };
}

/** Scores of one set of figures. */
class Scores {
  readonly #bins = Array.from({ length: BINS }, emptyBin);
  readonly #share: Float64Array;
  #tickets = 0;
  #log = 0;
  #first = 0;
  #three = 0;

  constructor({ space }: Start) {
    this.#share = new Float64Array(space.causes.length);
  }

  /** @returns log2 of the chance of the confirmed cause */
  add(mixture: Mixture, { pattern, cause }: Kept): number {
    mixture.joint(pattern, this.#share);
    normalised(this.#share);
    const share = this.#share;
    const p = Math.max(share[cause]!, 1e-12); // a cause that the catalog rules out costs 40 bits, not infinitely many
    let above = 0;
    share.forEach((x, c) => {
      if (x > share[cause]!) above++;
      addForecast(this.#bins[Math.min(BINS - 1, Math.floor(x * BINS))]!, x, c === cause);
    });
    this.#tickets++;
    this.#log += Math.log2(p);
    if (above === 0) this.#first++;
    if (above < 3) this.#three++;
    return Math.log2(p);
  }

  view(): ScoresView {
    const n = this.#tickets;
    const parts = brierParts(this.#bins);
    const causes = this.#share.length;
    return {
      bits: -this.#log / n,
      // over all causes of a ticket: 0 where the cause had all of the chance, 2 where another had
      brier: parts.brier * causes,
      parts,
      first: { p: this.#first / n, ...wilson(this.#first, n, Z95) },
      firstThree: { p: this.#three / n, ...wilson(this.#three, n, Z95) },
      bins: this.#bins.filter((b) => b.n > 0).map(binView),
    };
  }
}

const binView = (bin: Bin): ScoresView["bins"][number] => ({
  forecasts: bin.n,
  forecast: bin.sum / bin.n,
  happened: bin.happened / bin.n,
  ...wilson(bin.happened, bin.n, Z90),
});
