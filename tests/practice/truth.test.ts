/** Truths come as often as the prior says. */
import { expect, test } from "vitest";
import { quantileOf } from "../../engine/belief/redraw.js";
import { seedOf, streamOf } from "../../engine/practice/streams.js";
import { drawRate, drawTruth } from "../../engine/practice/truth.js";
import { World, wrongBy, type WorldId } from "../../engine/practice/worlds.js";
import { PRICES } from "../../engine/practice/prices.js";
import { shopOf } from "../../engine/practice/shop.js";
import { modelOf } from "../../engine/belief/model.js";
import { catalog, misfit, model, ticket } from "./small.js";

const DRAWS = 100_000;
const ours = model();

function drawnSets(): Float64Array {
  const counts = new Float64Array(ours.sets.count + 1);
  for (let k = 0; k < DRAWS; k++) {
    const { causes, unlisted } = drawTruth(ours, streamOf(seedOf(3, `t${k}`), "truth"));
    const f =
      unlisted !== null
        ? ours.sets.count
        : ours.sets.lists.findIndex(
            (list) => list.length === causes.length && list.every((i, m) => i === causes[m]),
          );
    counts[f] = counts[f]! + 1;
  }
  return counts;
}

test("every set of causes, nothing and unlisted are drawn in proportion to their prior weights", () => {
  const counts = drawnSets();
  const prior = [...ours.prior.set, ours.prior.unlisted];
  expect(misfit(counts, prior)).toBeLessThan(1);
  // the same draws against priors that are wrong by a factor of 3
  const wrong = modelOf(wrongBy(catalog, 3, streamOf(1, "priors")), ticket());
  expect(misfit(counts, [...wrong.prior.set, wrong.prior.unlisted])).toBeGreaterThan(1);
});

test("rates: hard ones at 1, the others Beta(1, 1), whose deciles are the tenths", () => {
  const uniform = streamOf(5, "rates");
  const rates = Array.from({ length: 20_000 }, () => drawRate({ hard: 0.25, a: 1, b: 1 }, uniform));
  const soft = rates.filter((r) => r < 1);
  expect(soft.length / rates.length).toBeCloseTo(0.75, 1);
  for (const p of [0.1, 0.5, 0.9]) expect(Math.abs(quantileOf(soft, p) - p)).toBeLessThan(0.015); // 4 sd of 15,000
  expect(drawRate({ fixed: 0.3 }, uniform)).toBe(0.3);
});

test("a world whose rates are wrong by 1 is the catalog's own; the factor moves the others", () => {
  const own = arrivalIn("own", 1);
  expect(arrivalIn("wrong", 1)).toEqual(own);
  expect(arrivalIn("wrong", 9)).not.toEqual(own);
});

/** What is wrong with the first tickets of a world. */
function arrivalIn(id: WorldId, wrongBy: number): (readonly number[])[] {
  const world = new World(catalog, shopOf(catalog), id, 1, { maxCauses: 1, wrongBy, prices: PRICES });
  return Array.from({ length: 60 }, (_, k) => world.arrival(k).machine.truth.causes);
}

test("a catalog that is wrong by 3 has every template's rate tripled or a third, events and spares with it", () => {
  const wrong = wrongBy(catalog, 3, streamOf(1, "priors"));
  const factors = wrong.causes.map((c, k) => (c.rate as number) / (catalog.causes[k]!.rate as number));
  for (const f of factors) expect(Math.min(Math.abs(f - 3), Math.abs(f - 1 / 3))).toBeLessThan(1e-12);
  expect(new Set(factors.map((f) => f > 1)).size).toBe(2);
});
