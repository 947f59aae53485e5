/**
 * How often 90 % intervals hold the truth that clean tables were drawn from; how often is written to a file. And the bias of
 * shares on the demo table with its wrong labels, missing causes and duplicates.
 *
 *   npx tsx tests/campaign/recovery.ts OUT.json [repetitions, default 200] [tickets, default 300]
 */
import { readFileSync, writeFileSync } from "node:fs";
import type { Catalog } from "../../engine/catalog/schema.js";
import { Intake } from "../../engine/learn/intake.js";
import { spaceOf } from "../../engine/learn/space.js";
import { tune } from "../../engine/learn/tune.js";
import { coverage, heldBy } from "../learn/recovery.js";
import matching from "../../scenarios/past-tickets/matching.json";
import hidden from "../../scenarios/past-tickets/truth.json";
import type { Matching } from "../../engine/learn/table/matching.js";

const [out, repetitions = "200", tickets = "300"] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [repetitions] [tickets]");

const found = coverage(Number(repetitions), Number(tickets));
const clean = Object.fromEntries(
  Object.entries(found).map(([kind, list]) => {
    const held = heldBy(list);
    const sd = Math.sqrt((held * (1 - held)) / list.length);
    const bias = list.reduce((sum, { truth, after }) => sum + after.value - truth, 0) / list.length;
    return [kind, { intervals: list.length, held, sd, bias }];
  }),
);

const here = (name: string) => new URL(`../../${name}`, import.meta.url);
const space = spaceOf(JSON.parse(readFileSync(here("priors/desktop.json"), "utf8")) as Catalog);
const intake = new Intake(space, { matching: matching as Matching });
intake.push(readFileSync(here("scenarios/past-tickets/table.csv")));
intake.end();
const shares = tune(intake.gathered!).changes.filter((c) => c.figure === "share");
const rows = shares.map(({ of, before, after }) => {
  const truth = (hidden.shares as Record<string, number>)[of]!;
  return {
    of,
    truth,
    before: before.value,
    after: after.value,
    isHeld: after.low <= truth && truth <= after.high,
  };
});
const mean = (f: (r: (typeof rows)[number]) => number) =>
  rows.reduce((sum, r) => sum + f(r), 0) / rows.length;
const demo = {
  causes: rows.length,
  held: mean((r) => Number(r.isHeld)),
  offBefore: mean((r) => Math.abs(r.before - r.truth)),
  offAfter: mean((r) => Math.abs(r.after - r.truth)),
  worst: rows.sort((x, y) => Math.abs(y.after - y.truth) - Math.abs(x.after - x.truth)).slice(0, 5),
};
console.log(JSON.stringify({ clean, demo }, null, 2));
writeFileSync(out, JSON.stringify({ repetitions, tickets, clean, demo }, null, 2) + "\n");
