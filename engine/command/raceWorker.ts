/** A worker's share of a race: every so manieth ticket, each row posted as it is done. */
import { parentPort, workerData } from "node:worker_threads";
import type { Catalog } from "../catalog/schema.js";
import { raceRows, type RaceOptions } from "../practice/race.js";

export interface Share {
  catalog: Catalog;
  options: RaceOptions;
  from: number;
  stride: number;
}

const { catalog, options, from, stride } = workerData as Share;
for (const row of raceRows(catalog, options, from, stride)) parentPort!.postMessage(row);
