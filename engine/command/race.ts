/** `fitful race`: strategies on simulated tickets. */
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { Catalog } from "../catalog/schema.js";
import { nearest } from "../ticket/nearest.js";
import {
  MOST_WRONG,
  RACE,
  raceOf,
  raceRows,
  type Race,
  type RaceOptions,
  type Row,
} from "../practice/race.js";
import { STRATEGIES } from "../practice/strategies/index.js";
import { WORLDS, type WorldId } from "../practice/worlds.js";
import { catalogFor } from "./catalogs.js";
import { CallFault, json, type Reply, type Values } from "./reply.js";
import { raceReport } from "./raceReport.js";
import type { Share } from "./raceWorker.js";
import { factor, whole } from "./numbers.js";
import { counter } from "./progress.js";

const USUAL = "desktop";
const MOST_TICKETS = 1e6;
/** Fewer tickets than this are done before a second worker has read its program. */
const FEW = 8;

export async function race(files: string[], values: Values): Promise<Reply> {
  if (files.length > 0)
    throw new CallFault(`race: found ${files.length} files, expected none; see fitful help`);
  const options = optionsOf(values);
  const named = typeof values.catalog === "string" ? values.catalog : USUAL;
  const catalog = await catalogFor({ catalog: named }, "--catalog");
  const rows = await rowsOf(catalog, options);
  const figures: Race = raceOf(catalog, options, rows);
  return { out: values.json === true ? json(figures) : raceReport(figures), code: 0 };
}

function optionsOf(values: Values): RaceOptions {
  return {
    tickets: whole("tickets", values, 1, MOST_TICKETS) ?? RACE.tickets,
    seed: whole("seed", values, 0, Number.MAX_SAFE_INTEGER) ?? RACE.seed,
    maxCauses: whole("causes", values, 1, 2) ?? RACE.maxCauses,
    world: typeof values.world === "string" ? oneOf<WorldId>("world", values.world, worlds) : RACE.world,
    wrongBy: factor("wrong-by", values, MOST_WRONG) ?? RACE.wrongBy,
    strategies:
      typeof values.strategies === "string"
        ? values.strategies.split(",").map((id) => oneOf("strategies", id, strategies))
        : RACE.strategies,
  };
}

const worlds = Object.keys(WORLDS) as WorldId[];
const strategies = STRATEGIES.map((s) => s.id);

/** @throws {CallFault} where the text is none of the ids */
function oneOf<T extends string>(name: string, text: string, ids: readonly T[]): T {
  const found = ids.find((id) => id === text);
  if (found !== undefined) return found;
  const near = nearest(text, ids);
  const hint = near ? `; nearest is ${near}` : "";
  throw new CallFault(`--${name}: found ${text || "nothing"}, expected one of ${ids.join(", ")}${hint}`);
}

/** Every ticket, shared out among the processor's cores. */
async function rowsOf(catalog: Catalog, options: RaceOptions): Promise<Row[]> {
  const workers = options.tickets < FEW ? 1 : availableParallelism();
  const count = counted(options.tickets);
  if (workers === 1) return Array.from(raceRows(catalog, options), count);
  const shares = Array.from({ length: workers }, (_, from) =>
    shareOf({ catalog, options, from, stride: workers }, count),
  );
  return (await Promise.all(shares)).flat();
}

/** Counts the rows that are done: a race may take an hour. */
function counted(tickets: number): (row: Row) => Row {
  const tell = counter("race", tickets);
  let done = 0;
  return (row) => {
    tell(++done);
    return row;
  };
}

function shareOf(workerData: Share, count: (row: Row) => Row): Promise<Row[]> {
  const worker = new Worker(new URL("./raceWorker.js", import.meta.url), { workerData });
  const rows: Row[] = [];
  return new Promise((resolve, reject) => {
    worker.on("message", (row: Row) => rows.push(count(row)));
    worker.on("error", reject);
    worker.on("exit", (code) =>
      code === 0 ? resolve(rows) : reject(new Error(`a worker ended with ${code}`)),
    );
  });
}
