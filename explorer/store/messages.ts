/**
 * What the page and the worker say to each other. Plain data only. Both sides keep the ticket and the views of its entries
 * that were told last, and are told what has changed since: a record of hundreds of entries is not copied at every press.
 */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Advice, Issue, Weighing } from "../../engine/weighing.js";
import type { Patch } from "./patch.js";

export type Request =
  | {
      kind: "weigh";
      /** null: the ticket is the one that was told last */
      ticket: { whole: Ticket } | { step: Patch } | null;
      wanted: Wanted;
      /** told once for each catalog */
      catalog: Catalog | null;
    }
  /** with a catalog, what is wrong with the ticket as one of its kind is told too */
  | { kind: "parse"; data: unknown; catalog?: Catalog };

/** The belief; the next tests on it; or all of it, with release, sensitivity and what was to be expected of each entry. */
export type Wanted = "belief" | "advice" | "everything";

export type WeighAnswer = { weighing: Weighing } | { issues: Issue[] };
export type AdviceAnswer = { advice: Advice | null } | { issues: Issue[] };
export type ParseAnswer = { ticket: Ticket } | { issues: Issue[] };

export type Answer =
  /** of the entries' views the first `same` are those that were told last, and left out */
  { weighing: Weighing; same: number } | AdviceAnswer | ParseAnswer | { failure: string };
