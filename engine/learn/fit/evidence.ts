/** What the passes of a fit climb on: the log evidence of confirmed tickets, and the log prior of the figures. */
import { pointOf } from "./betaBinomial.js";
import type { Counts } from "./counts.js";
import { logEventPrior } from "./events.js";
import type { Figures } from "./figures.js";
import type { Prior } from "./fit.js";
import { logRatePrior, movedBy } from "./rates.js";
import { logSharePrior } from "./shares.js";
import type { Start } from "./start.js";

export function logPrior(start: Start, figures: Figures, counts: Counts, prior: Prior): number {
  let log =
    logSharePrior(prior.tree, figures.shares) + logRatePrior(start, figures, movedBy(counts.starts, start));
  if (figures.events.rate.some((r) => r > 0)) log += logEventPrior(start, figures.events);
  prior.signatures.forEach((pseudo, at) => (log += pseudo * Math.log(figures.signatures[at]!)));
  return log;
}

const times = (n: number, p: number) => (n > 0 ? n * Math.log(Math.max(p, 1e-300)) : 0);

/** ln P of the confirmed tickets, those conditioned that could be confirmed only because they showed. */
export function confirmedEvidence({ space }: Start, figures: Figures, counts: Counts): number {
  const { shares, rates, signatures, events, leak } = figures;
  let log = 0;
  counts.tickets.forEach((n, c) => (log += times(n, shares[c]!)));
  rates.forEach((rate, c) => {
    if (!("fixed" in rate)) log += counts.starts.hillOf(c)(pointOf(rate, 0)).value;
  });
  for (const { stops, starts, weight } of counts.starts.of(space.none))
    log += times(weight * stops, leak) + weight * (starts - stops) * Math.log1p(-leak);
  counts.stops.forEach((n, at) => {
    if (at < space.unlisted * space.stages.length) log += times(n, signatures[at]!);
  });
  const E = space.events.length;
  counts.events.forEach((n, at) => {
    const p = events.given[at]!;
    log += times(n, p) + times(counts.told[Math.floor(at / E)]! - n, 1 - p);
  });
  return log;
}
