/** What the pages and the worker of the practice machines say to each other. Plain data only. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Envelope } from "../../engine/practice/envelope.js";
import type { Moment } from "../../engine/practice/moments.js";
import type { Answered, SoFar } from "../../engine/practice/session.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";

/** What is done to the machine. */
export type Doing =
  | { kind: "start"; conditions: Record<string, string | number> }
  | { kind: "finding" | "reading" | "repair"; id: string; on: string | null };

export type Question =
  | { ask: "deal"; code: string[]; by: string }
  | { ask: "do"; ticket: Ticket; doing: Doing }
  | { ask: "soFar"; ticket: Ticket }
  | { ask: "open"; ticket: Ticket }
  | { ask: "moments"; ticket: Ticket };

export type PracticeRequest = { catalogs: readonly Catalog[] } & Question;

export interface Answers {
  deal: { ticket: Ticket };
  do: Answered;
  soFar: SoFar;
  open: { envelope: Envelope };
  moments: { moments: Moment[] };
}
export type Refused = { issues: Issue[] };
