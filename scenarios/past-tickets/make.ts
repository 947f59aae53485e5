/**
 * Makes this folder's files, the same from the same seed:
 *
 *   npx tsx scenarios/past-tickets/make.ts
 */
import { readFileSync, writeFileSync } from "node:fs";
import Papa from "papaparse";
import type { Catalog } from "../../engine/catalog/schema.js";
import { startOf } from "../../engine/learn/fit/start.js";
import { spaceOf } from "../../engine/learn/space.js";
import { proposeMatching } from "../../engine/learn/table/matching.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { cleanTickets, drawTruth, HABITS } from "./draw.js";
import { HEADING, NOISE, rowsOf, SHOP_WORDS } from "./table.js";

const SEED = 2606;
const TICKETS = 3000;

const here = (name: string) => new URL(name, import.meta.url);
const catalog = JSON.parse(readFileSync(here("../../priors/desktop.json"), "utf8")) as Catalog;
const space = spaceOf(catalog);
const start = startOf(space);
const truth = drawTruth(start, HABITS, seededUniform(SEED));
const noise = seededUniform(SEED + 1);
const rows = [...cleanTickets(start, truth, HABITS, TICKETS, SEED + 2)].flatMap((ticket, k) =>
  rowsOf(ticket, k + 1, space, NOISE, noise),
);
const text = Papa.unparse([HEADING, ...rows], { delimiter: ";", newline: "\r\n" }) + "\r\n";
writeFileSync(here("table.csv"), "\uFEFF" + text);

const matching = proposeMatching(
  [HEADING, ...rows.slice(0, 50)],
  { encoding: "utf-8", separator: ";" },
  space,
);
writeFileSync(here("matching.json"), JSON.stringify({ ...matching, words: SHOP_WORDS }, null, 2) + "\n");

const byId = (values: ArrayLike<number>, ids: readonly string[]) =>
  Object.fromEntries(ids.map((id, k) => [id, Number(values[k]!.toPrecision(4))]));
const hidden = {
  note: "Invented. What the table was drawn from; nobody at a bench would know it.",
  seed: SEED,
  tickets: TICKETS,
  shares: byId(truth.shares, space.causes),
  rates: Object.fromEntries(
    catalog.causes.map(({ id }, c) => {
      const { hard, a, b } = truth.rates[c]!;
      return [id, byId([hard, a / (a + b)], ["hard", "mean"])];
    }),
  ),
  eventRate: byId(truth.eventRate, space.events),
  leak: truth.leak,
};
writeFileSync(here("truth.json"), JSON.stringify(hidden, null, 2) + "\n");
console.log(`${rows.length} rows`);
