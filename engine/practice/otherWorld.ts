/**
 * A second generator, which does not share the engine's assumptions.
 *
 * Rates are spread evenly over their logits and drift from start to start; every cause stops the machine at stages of its
 * own, half as listed and half anyhow; a part of the tickets has a cause that no list names, tied to a part and gone when
 * that part is replaced; reseating does less than it promises. Invented: what matters is that nothing of it is the model's.
 */
import { signatureOf, type Cause } from "../catalog/expand.js";
import type { Model } from "../belief/model.js";
import { drawDirichlet, type Uniform } from "./streams.js";
import { drawTruth, type Truth } from "./truth.js";

/** sd of a step of the logit: 0.5 after 25 starts. */
const DRIFT = 0.1;
/** Share of a signature that is not as listed. */
const ASTRAY = 0.5;
/** Share of the tickets whose cause is tied to a part and on no list. */
const STRANGE = 0.15;
/** Reseating cures this share of what it promises. */
const RESEATING = 0.8;
/** Rates lie between 1 in 50 and 49 in 50. */
const EDGE = Math.log(49);

export function otherTruth(model: Model, uniform: Uniform): Truth {
  const truth = drawTruth(model, uniform);
  const isStrange = uniform() < STRANGE && truth.causes.length > 0;
  const causes = model.causes.map((c) => astray(c, uniform));
  if (isStrange)
    for (const i of truth.causes)
      if (causes[i]!.part !== null) causes[i] = stranger(causes[i]!, model, uniform);
  return {
    ...truth,
    model: { ...model, causes },
    rates: truth.causes.map(() => 1 / (1 + Math.exp(-EDGE + 2 * EDGE * uniform()))),
    drift: DRIFT,
  };
}

/** Signature half as listed, half anyhow; reseating a fifth less sure. */
function astray(cause: Cause, uniform: Uniform): Cause {
  const stray = drawDirichlet(1, cause.signature.length, uniform);
  return {
    ...cause,
    reseat: RESEATING * cause.reseat,
    signature: cause.signature.map((p, s) => (1 - ASTRAY) * p + ASTRAY * stray[s]!),
  };
}

/** In place of a cause, one of the same part that nothing but replacing it mends and no finding shows. */
function stranger(cause: Cause, { catalog }: Model, uniform: Uniform): Cause {
  const stage = catalog.stages[Math.floor(uniform() * catalog.stages.length)]!.id;
  const signature = signatureOf({ [stage]: 1 }, catalog);
  return {
    ...cause,
    id: `stranger@${cause.part}`,
    template: "stranger",
    reseat: 0,
    contact: false,
    signature,
  };
}
