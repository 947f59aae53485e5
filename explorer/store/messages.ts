/** What the page and the worker say to each other. Plain data only. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue, Weighing } from "../../engine/weighing.js";

export type Request =
  | {
      kind: "weigh";
      ticket: Ticket;
      advice: boolean | "next";
      /** sent once for each catalog */ catalog: Catalog | null;
    }
  | { kind: "parse"; data: unknown };

export type WeighAnswer = { weighing: Weighing } | { issues: Issue[] };
export type ParseAnswer = { ticket: Ticket } | { issues: Issue[] };
export type Answer = WeighAnswer | ParseAnswer | { failure: string };
