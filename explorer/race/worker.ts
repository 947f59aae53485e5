/** A worker's share of a race: every so manieth ticket, each row posted as it is done. */
import "../strict.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { raceRows, type RaceOptions, type Row } from "../../engine/practice/race.js";

export interface Share {
  catalog: Catalog;
  options: RaceOptions;
  from: number;
  stride: number;
}
export type Told = { row: Row } | { done: true } | { failure: string };

self.onmessage = ({ data: { catalog, options, from, stride } }: MessageEvent<Share>) => {
  const tell = (told: Told) => self.postMessage(told);
  try {
    for (const row of raceRows(catalog, options, from, stride)) tell({ row });
    tell({ done: true });
  } catch (error) {
    tell({ failure: error instanceof Error ? error.message : String(error) });
  }
};
