/** What the tuning page and its worker say to each other. Plain data only. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Beginning, Written } from "../../engine/learn/intake.js";
import type { TicketsLeftOut } from "../../engine/learn/score/minutes.js";
import type { Matching } from "../../engine/learn/table/matching.js";
import type { Rejection } from "../../engine/learn/table/row.js";
import type { TableCount } from "../../engine/learn/table/reader.js";
import type { TuningView } from "../../engine/learn/tuning.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import type { Stranger } from "./strangers.js";

export type Request =
  | { kind: "begin"; catalog: Catalog; file: Blob; written: Written }
  | { kind: "read"; catalog: Catalog; table: MatchedTable | null; own: Ticket[] }
  | { kind: "fit"; columns: Record<string, string> }
  | { kind: "leave out"; wanted: number };

/** A table, and what a person made of it. */
export interface MatchedTable {
  file: Blob;
  matching: Matching;
}

/** A table that was read to its end, with closed tickets of our own, or those alone. */
export interface Read {
  /** null for a tally, and where there is no table */
  count: TableCount | null;
  confirmed: number;
  tickets: number;
  /** the first of the rejected rows, and all of them as CSV */
  rejected: Rejection[];
  file: Blob;
  /** words of rejected rows that the catalog does not know */
  strangers: Stranger[];
  /** closed tickets of our own that taught nothing, and why */
  notes: string[];
}

export type Answer =
  | { kind: "progress"; done: number; of: number }
  | { kind: "beginning"; beginning: Beginning }
  | { kind: "read"; read: Read }
  | { kind: "fitted"; view: TuningView }
  | { kind: "left out"; left: TicketsLeftOut }
  | { kind: "issues"; issues: Issue[] }
  | { kind: "failure"; message: string };
