/**
 * The planner against the known optimum of many small random problems; writes what it found to a file.
 *
 *   npx tsx tests/campaign/optimal.ts OUT.json [problems, default 200] [first seed, default 1] [depth of look-ahead, default the planner's own]
 */
import { writeFileSync } from "node:fs";
import { compare, partings, type Comparison, type Parting } from "../plan/optimal/compare.js";
import { informationFirst } from "../plan/optimal/policies.js";
import { planner } from "../plan/optimal/planner.js";
import { problemOf } from "../plan/optimal/problem.js";
import { solve } from "../plan/optimal/solve.js";

const [out, wanted = "200", first = "1", depth] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [problems] [first seed] [depth]");

/** Width of the optimum's bracket, and states to spend on it. */
const WITHIN = 0.005;
const STATES = 20_000;
/** Walks less likely than this are cut off. */
const LEAST = 1e-5;
/** Cases above this ratio are listed with what they do differently. */
const FAR = 1.25;

interface Far extends Comparison {
  partings: Parting[];
}

const started = Date.now();
const all: Comparison[] = [];
const plain: Comparison[] = [];
const far: Far[] = [];

for (let seed = Number(first); seed < Number(first) + Number(wanted); seed++) {
  const problem = problemOf(seed);
  const solution = solve(problem.world, WITHIN, STATES);
  const policy = planner(problem, depth === undefined ? {} : { depth: Number(depth) });
  const one = compare(problem, policy, solution, LEAST);
  all.push(one);
  plain.push(compare(problem, informationFirst(problem.world), solution, LEAST));
  if (one.ratio > FAR) far.push({ ...one, partings: partings(problem, policy, solution) });
  if (all.length % 10 === 0)
    console.log(
      `${all.length} problems, mean ratio ${mean(all.map((x) => x.ratio)).toFixed(4)}, ${seconds()} s`,
    );
}

function seconds(): number {
  return Math.round((Date.now() - started) / 1000);
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, x) => sum + x, 0) / values.length;
}

/** By linear interpolation. */
function quantile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((x, y) => x - y);
  const at = p * (sorted.length - 1);
  const low = Math.floor(at);
  return sorted[low]! + (at - low) * ((sorted[low + 1] ?? sorted[low]!) - sorted[low]!);
}

/** `ratio` is to the lower end of the optimum's bracket, `least` to its upper end. */
function figuresOf(list: readonly Comparison[]) {
  const ratio = list.map((x) => x.ratio);
  const quantiles = [0, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1].map((p) => [p, quantile(ratio, p)]);
  return {
    ratio: mean(ratio),
    least: mean(list.map((x) => x.cost / x.high)),
    quantiles: Object.fromEntries(quantiles) as Record<string, number>,
  };
}

const summary = {
  problems: all.length,
  first: Number(first),
  depth: depth === undefined ? "its own" : Number(depth),
  bracket: mean(all.map(({ low, high }) => (high - low) / high)),
  planner: figuresOf(all),
  informationFirst: figuresOf(plain),
  above: far.length,
  seconds: seconds(),
};
writeFileSync(out, JSON.stringify({ ...summary, far, cases: all }, null, 2));
console.log(JSON.stringify(summary, null, 2));
for (const one of far) {
  console.log(`${one.seed}: ${one.ratio.toFixed(2)} times ${one.low.toFixed(1)}`);
  for (const { chance, regret, path, policy, optimum } of one.partings)
    console.log(`  loses ${(chance * regret).toFixed(1)} after "${path}": ${policy}, the optimum ${optimum}`);
}
