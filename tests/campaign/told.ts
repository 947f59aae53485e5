/**
 * What the race's tickets would cost if the technician were told at intake what is wrong: by the planner's own prices, the
 * least that repairs, their proof, comebacks and giving back leave. Of two faults at once only the first is told, so it is
 * a lower bound. What any strategy costs beyond it is the price of finding out.
 *
 *   npx tsx tests/campaign/told.ts OUT.json [tickets, default 2000] [seed, default 11]
 */
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Catalog } from "../../engine/catalog/schema.js";
import { finishings } from "../../engine/plan/decide.js";
import { atomsOf } from "../../engine/plan/atoms.js";
import { pricesOf } from "../../engine/plan/terms.js";
import type { Arrival } from "../../engine/practice/bench.js";
import { normalInterval } from "../../engine/practice/interval.js";
import { PRICES } from "../../engine/practice/prices.js";
import { shopOf } from "../../engine/practice/shop.js";
import { World } from "../../engine/practice/worlds.js";
import { ROOT } from "../command/fitful.js";

const [out, wanted = "2000", seed = "11"] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [tickets] [seed]");
const catalog = JSON.parse(readFileSync(join(ROOT, "priors/desktop.json"), "utf8")) as Catalog;
const terms = { maxCauses: 1, wrongBy: 1, prices: PRICES };
const world = new World(catalog, shopOf(catalog), "own", Number(seed), terms);

function told({ state, ticket, machine }: Arrival): { cost: number; end: "release" | "giveBack" | "repair" } {
  const { belief } = state;
  const { truth } = machine;
  const [first] = truth.causes.map((i) => truth.model.causes[i]!.id);
  const cause = belief.model.causes.findIndex(({ id }) => id === first);
  const prices = pricesOf(belief.model.catalog, ticket);
  const ends = finishings(state, ticket, prices, atomsOf(belief, "active")).map(({ finisher, way }) => {
    const { live } = finisher.problem;
    const set = new Float64Array(live.lists.length);
    const unlisted = Number(truth.unlisted !== null);
    if (unlisted === 0) set[live.placeOf(first === undefined ? [] : [cause])] = 1;
    const { release, giveBack, repair } = finisher.of({ set, unlisted });
    return { release: way + release, giveBack: way + giveBack, repair: way + repair };
  });
  const least = (end: "release" | "giveBack" | "repair") => Math.min(...ends.map((one) => one[end]));
  return (["release", "giveBack", "repair"] as const)
    .map((end) => ({ end, cost: least(end) }))
    .reduce((best, one) => (one.cost < best.cost ? one : best));
}

const all = Array.from({ length: Number(wanted) }, (_, k) => told(world.arrival(k)));
const share = (end: string) => all.filter((one) => one.end === end).length / all.length;
const figures = {
  tickets: all.length,
  seed: Number(seed),
  cost: normalInterval(all.map(({ cost }) => cost)),
  released: share("release"),
  givenBack: share("giveBack"),
  repaired: share("repair"),
};
writeFileSync(out, JSON.stringify(figures, null, 2) + "\n");
console.log(JSON.stringify(figures, null, 2));
