/**
 * Is what the engine says so? Ranks of true rates, and claims by decile, on thousands of simulated tickets; writes what it
 * found to a file, and two pictures beside it.
 *
 *   npx tsx tests/campaign/calibration.ts OUT.json [tickets, default 20000] [seed, default 1]
 */
import { writeFileSync } from "node:fs";
import { calibrated, claimOf, decilesOf, type Claim } from "../practice/claims.js";
import { right, withOtherRates, withoutIntermittency } from "../practice/models.js";
import { countsOf, ranksOf, withExactly } from "../practice/ranks.js";
import { uniformity } from "../practice/simulated.js";
import { decilePicture, rankPicture } from "./pictures.js";

const [out, wanted = "20000", first = "1"] = process.argv.slice(2);
if (!out) throw new Error("arguments: found none, expected OUT.json [tickets] [seed]");
const [tickets, seed] = [Number(wanted), Number(first)];
const BINS = 20;
/** Ranks are drawn for so many; the deliberately wrong engines need fewer to be seen. */
const [RANKED, WRONG] = [Math.ceil(tickets / 5), Math.ceil(tickets / 20)];
const ours = right();
const started = Date.now();
const seconds = () => Math.round((Date.now() - started) / 1000);

function ranked(size: number, count: number, wrong: boolean) {
  const model = withExactly(ours, size);
  const ranks = ranksOf(model, count, seed, wrong ? withOtherRates(model) : model);
  const counts = countsOf(ranks, BINS);
  console.log(`ranks, ${size} at once${wrong ? ", wrong engine" : ""}: ${seconds()} s`);
  return { tickets: count, counts, ...uniformity(counts) };
}

function claimed(count: number, believer = ours) {
  const claims: Claim[] = [];
  for (let k = 0; k < count; k++) {
    claims.push(claimOf(ours, believer, seed, k));
    if ((k + 1) % 2000 === 0) console.log(`claims: ${k + 1} tickets, ${seconds()} s`);
  }
  return { tickets: count, ...calibrated(claims), deciles: decilesOf(claims) };
}

const figures = {
  seed,
  ranks: {
    singles: ranked(1, RANKED, false),
    pairs: ranked(2, RANKED, false),
    wrongEngine: ranked(1, WRONG, true),
  },
  claims: claimed(tickets),
  claimsOfWrongEngine: claimed(WRONG, withoutIntermittency()),
  seconds: 0,
};
figures.seconds = seconds();
writeFileSync(out, JSON.stringify(figures, null, 2));
const beside = (name: string) => out.replace(/(\.json)?$/, `-${name}.svg`);
writeFileSync(beside("ranks"), rankPicture(figures.ranks.singles.counts, figures.ranks.pairs.counts));
writeFileSync(beside("deciles"), decilePicture(figures.claims.deciles));
console.log(JSON.stringify(figures, null, 2));
