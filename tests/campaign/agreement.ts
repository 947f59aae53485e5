/**
 * Engine against slow oracle over many random tickets; writes what it found to a file.
 *
 *   npx tsx tests/campaign/agreement.ts OUT.json [tickets, default 2000] [seed, default 1] [deep]
 */
import { writeFileSync } from "node:fs";
import fc from "fast-check";
import { weighed } from "../belief/weighed.js";
import { compare, WITHIN, type Comparison } from "../oracle/compare.js";
import { smallTicket } from "../oracle/tickets.js";

const [out, wanted = "2000", seed = "1", depth] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [tickets] [seed] [deep]");

const started = Date.now();
const worst: Comparison["worst"] = { chance: 0, log: 0, mean: 0, bits: 0, decibans: 0, quantile: 0 };
const failures: { ticket: unknown; differences: unknown }[] = [];
let figures = 0;
let tickets = 0;
for (const ticket of fc.sample(smallTicket, { numRuns: Number(wanted), seed: Number(seed) })) {
  tickets++;
  try {
    const result = compare(ticket, weighed(ticket), depth === "deep");
    figures += result.figures;
    for (const kind of Object.keys(worst) as (keyof typeof worst)[])
      worst[kind] = Math.max(worst[kind], result.worst[kind]);
    if (result.differences.length > 0)
      failures.push({ ticket, differences: result.differences.slice(0, 20) });
  } catch (error) {
    failures.push({ ticket, differences: String(error) });
  }
  if (tickets % 100 === 0)
    console.log(
      `${tickets} tickets, ${figures} figures, ${failures.length} with differences, ${Math.round((Date.now() - started) / 1000)} s`,
    );
}
const summary = {
  seed: Number(seed),
  tickets,
  figures,
  disagreeing: failures.length,
  within: WITHIN,
  worst,
  seconds: (Date.now() - started) / 1000,
};
writeFileSync(out, JSON.stringify({ ...summary, failures: failures.slice(0, 50) }, null, 2));
console.log(JSON.stringify(summary, null, 2));
