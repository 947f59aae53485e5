/** The models of the calibration: the right one, and an engine that is deliberately wrong. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { modelOf, type Model } from "../../engine/belief/model.js";
import { catalog, ticket } from "./small.js";

/** The small machine with whole exposures, for which the engine's rules are quick: thousands of tickets are weighed. */
const quick: Catalog = {
  ...catalog,
  causes: catalog.causes.map((c) => (c.exposure === undefined ? c : { ...c, exposure: "rest < 30 ? 1 : 2" })),
};

export const right = (): Model => modelOf(quick, ticket());

/** Takes every fault for one that always shows. */
export function withoutIntermittency(): Model {
  const causes = quick.causes.map((cause) => ({ ...cause, intermittency: { hard: 1, a: 1, b: 1 } }));
  return modelOf({ ...quick, causes }, ticket());
}

/** Holds the rates for others than they are: mostly high. */
export const withOtherRates = (model: Model): Model => ({
  ...model,
  causes: model.causes.map((c) => ({ ...c, rate: { hard: 0.1, a: 4, b: 1 } })),
});
