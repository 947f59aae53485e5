/** A worker's share of a race: every so manieth ticket, each row posted as it is done. */
import "../strict.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { raceRows, type RaceOptions } from "../../engine/practice/race.js";
import { tellAll, type Part } from "./shared.js";

export interface Share extends Part {
  catalog: Catalog;
  options: RaceOptions;
}

self.onmessage = ({ data: { catalog, options, from, stride } }: MessageEvent<Share>) =>
  tellAll(raceRows(catalog, options, from, stride), (told) => self.postMessage(told));
