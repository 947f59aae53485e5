/**
 * What is really wrong with a machine: drawn from the model's own prior, which is that of machines brought in.
 *
 * A set F of at most K causes in proportion to its prior weight, the empty set with ν, `unlisted` with u; the rate of each
 * cause from its own prior; under `unlisted` a Dirichlet over the outcomes, one for all setups or one for each.
 * Source: project model, sections 3, 4 and 7.
 */
import type { RatePrior } from "../catalog/expand.js";
import type { Model } from "../belief/model.js";
import { drawBeta, drawIndex, type Uniform } from "./streams.js";

export interface Truth {
  /** the machine's own causes; not what the technician believes */
  model: Model;
  /** F: indexes of causes, rising */
  causes: readonly number[];
  /** r of each of them, in the same order */
  rates: readonly number[];
  /** something that is on no list: it stops alike in every setup, or in each in its own way */
  unlisted: "alike" | "apart" | null;
  /** sd of the step that the logit of each rate makes between two starts; 0 while the rates stay what they are */
  drift: number;
  /** chance at every start that a contact which touching has quieted is bad again; 0 where what is cleared stays so */
  relapse: number;
}

export function drawTruth(model: Model, uniform: Uniform): Truth {
  const { sets, prior } = model;
  const at = drawIndex([...prior.set, prior.unlisted], uniform());
  const isUnlisted = at === sets.count;
  const causes = isUnlisted ? [] : sets.lists[at]!;
  const way = uniform() < 0.5 ? "alike" : "apart";
  return {
    model,
    causes,
    rates: causes.map((i) => drawRate(model.causes[i]!.rate, uniform)),
    unlisted: isUnlisted ? way : null,
    drift: 0,
    relapse: 0,
  };
}

/** r ~ h·δ(1) + (1 − h)·Beta(a, b), or the fixed one. */
export function drawRate(prior: RatePrior, uniform: Uniform): number {
  const [hard, soft] = [uniform(), uniform()];
  if ("fixed" in prior) return prior.fixed;
  return hard < prior.hard ? 1 : drawBeta(prior.a, prior.b, soft);
}
