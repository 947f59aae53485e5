/**
 * Engine against slow oracle over many random tickets; writes what it found to a file.
 *
 *   npx tsx tests/campaign/agreement.ts OUT.json [tickets, default 2000] [seed, default 1] [deep]
 */
import { writeFileSync } from "node:fs";
import fc from "fast-check";
import { weighed } from "../belief/weighed.js";
import { compare, WITHIN, type Comparison, type Difference } from "../oracle/compare.js";
import { smallTicket } from "../oracle/tickets.js";
import type { Ticket } from "../../engine/ticket/schema.js";

const [out, wanted = "2000", seed = "1", depth] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [tickets] [seed] [deep]");

/** Disagreements about one kind of figure: how many, and the ticket with the largest. */
interface Tally {
  count: number;
  worst: Difference;
  ticket: Ticket;
}

const started = Date.now();
const seconds = () => Math.round((Date.now() - started) / 1000);
const worst: Comparison["worst"] = { chance: 0, log: 0, mean: 0, bits: 0, decibans: 0, quantile: 0 };
const tallies = new Map<string, Tally>();
let [figures, tickets, disagreeing] = [0, 0, 0];

/** The figure without the names of entries and causes. */
const kindOf = (where: string) =>
  where
    .replace(/^entry \S+ \((\w+)\)/, "$1 entry")
    .replace(/^test .*/, (test) => test.split(" ").slice(0, 2).join(" "))
    .replace(/^set .*/, "set")
    .replace(
      /\b(tired-module|slot-contact|edge|board-power|supply|bay-plug|cord|firmware|bad-donor)(@[\w.]+)?/g,
      "cause",
    )
    .replace(/\d+$/, "");

function note(ticket: Ticket, differences: readonly Difference[]): void {
  if (differences.length > 0) disagreeing++;
  for (const one of differences) {
    const old = tallies.get(kindOf(one.where));
    const larger = old && old.worst.off >= one.off ? old : { worst: one, ticket };
    tallies.set(kindOf(one.where), {
      count: (old?.count ?? 0) + 1,
      worst: larger.worst,
      ticket: larger.ticket,
    });
  }
}

for (const ticket of fc.sample(smallTicket, { numRuns: Number(wanted), seed: Number(seed) })) {
  tickets++;
  try {
    const result = compare(ticket, weighed(ticket, depth === "deep"), depth === "deep");
    figures += result.figures;
    for (const kind of Object.keys(worst) as (keyof typeof worst)[])
      worst[kind] = Math.max(worst[kind], result.worst[kind]);
    note(ticket, result.differences);
  } catch (error) {
    note(ticket, [{ where: `thrown: ${String(error)}`, engine: null, oracle: null, off: Infinity }]);
  }
  if (tickets % 100 === 0)
    console.log(`${tickets} tickets, ${figures} figures, ${disagreeing} with differences, ${seconds()} s`);
}

const kinds = [...tallies].sort(([, x], [, y]) => y.count - x.count);
const summary = {
  seed: Number(seed),
  tickets,
  figures,
  disagreeing,
  within: WITHIN,
  worst,
  seconds: seconds(),
};
writeFileSync(out, JSON.stringify({ ...summary, kinds: Object.fromEntries(kinds) }, null, 2));
console.log(JSON.stringify(summary, null, 2));
for (const [
  kind,
  {
    count,
    worst: { off },
  },
] of kinds)
  console.log(`${kind}: ${count}, at most ${off}`);
