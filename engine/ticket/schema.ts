/**
 * The ticket: one machine on the bench, from intake to release, as a record of entries in time order.
 *
 * The setup is carried along: `machine` says how it came in, each `change` moves parts or settings, and every start,
 * finding, reading and repair is made in the setup that holds at its place in the record.
 */
import { z } from "zod";
import { Catalog, CauseTemplate, Release, Terms } from "../catalog/schema.js";
import { CURRENCY } from "./currency.js";

export const TICKET_FORMAT = "fitful/ticket@1";

const Id = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/, "expected an id of letters, digits, - and _");
const Name = z.string().min(1).max(200);
const Text = z.string().max(20000);

/** A part: fitted in a position, or on the shelf when it has none. */
export const Part = z.strictObject({
  id: Id,
  kind: Id,
  name: Name.optional(),
  position: Id.optional().describe("where it sat when the machine came in; none: on the shelf"),
  ageYears: z.number().min(0).max(100).optional().describe("default: the machine's age"),
  spare: z
    .boolean()
    .optional()
    .describe("a spare believed good: its causes have the catalog's `spare` chance"),
  atHand: z.boolean().optional().describe("default true; false: would have to be bought"),
  price: z.number().min(0).optional(),
  went: z
    .strictObject({
      to: z.enum(["owner", "warranty", "spare", "recycled"]),
      at: z.string().max(40).optional(),
      bad: z.number().min(0).max(1).optional().describe("chance then that it would fail where it is used"),
      note: z.string().max(500).optional(),
    })
    .optional()
    .describe("where a part that came out went; weighs nothing"),
});

export const Machine = z.strictObject({
  name: Name.optional(),
  ageYears: z.number().min(0).max(100),
  parts: z.array(Part),
  settings: z.record(Id, Id).optional().describe("setting id → value id as it came in"),
  conditions: z.record(Id, z.union([Id, z.number().min(0)])).optional(),
  events: z
    .array(
      z.strictObject({
        event: Id,
        yearsBefore: z.number().min(0).describe("years before the complaint began"),
      }),
    )
    .optional(),
  donors: z
    .array(
      z.strictObject({
        id: Id,
        name: Name.optional(),
        parts: z
          .array(z.strictObject({ kind: Id, position: Id }))
          .optional()
          .describe("the donor's own parts"),
      }),
    )
    .optional()
    .describe("known-good machines at hand, in which a suspect part can be tried"),
});

const Conditions = z
  .record(Id, z.union([Id, z.number().min(0)]))
  .describe("condition id → class id or minutes; what is not named holds its default");

/** Outcome id, or a set of them where the stop was only partly seen. */
const Outcome = z.union([Id, z.array(Id).min(1)]);

export const Trial = z.strictObject({
  outcome: Outcome.describe("a stage, `clean`, or the set of outcomes it may have been"),
  n: z.number().int().min(1).max(100000).optional().describe("how many such starts, default 1"),
  minute: z.number().min(0).optional().describe("the minute at which a run under load stopped"),
  code: z.string().max(100).optional().describe("beeps, lamps or a number on the display"),
  at: z.string().max(40).optional(),
  voided: z.string().max(500).optional().describe("why this start does not count; it stays in the record"),
});

const common = {
  id: Id,
  at: z.string().max(40).optional().describe("date and time, ISO 8601"),
  minutes: z.number().min(0).max(1e6).optional().describe("labour minutes it took"),
  note: Text.optional(),
  photos: z.array(Id).max(40).optional().describe("ids of photographs, kept beside the tickets"),
};

export const Entry = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("intake"), ...common, complaint: Text.optional() }),
  z.strictObject({
    kind: z.literal("starts"),
    ...common,
    conditions: Conditions.optional(),
    trials: z.array(Trial),
    by: z.enum(["bench", "owner"]).optional().describe("owner: reported, tempered by `trust`"),
    trust: z.number().gt(0).max(1).optional().describe("default 1, or 0.5 where `by` is owner"),
  }),
  z.strictObject({
    kind: z.literal("finding"),
    ...common,
    finding: Id,
    on: Id.optional().describe("part or position looked at; none: the machine"),
    value: Id,
  }),
  z.strictObject({
    kind: z.literal("reading"),
    ...common,
    reading: Id,
    on: Id.optional(),
    value: z
      .union([z.number(), z.string().min(1).max(60)])
      .describe('a number in the catalog\'s unit, or text with a unit, "4810 mV"'),
  }),
  z.strictObject({
    kind: z.literal("change"),
    ...common,
    fit: z.record(Id, Id.nullable()).optional().describe("position → part now in it, or null for empty"),
    settings: z.record(Id, Id).optional(),
    in: Id.optional().describe("donor id; `own` for the ticket's machine"),
  }),
  z.strictObject({ kind: z.literal("repair"), ...common, repair: Id, on: Id.optional() }),
  z.strictObject({ kind: z.literal("note"), ...common, text: Text }),
  z.strictObject({ kind: z.literal("worksheet"), ...common, expression: Text }),
  z.strictObject({
    kind: z.literal("release"),
    ...common,
    confirmed: z.array(z.string().max(200)).optional(),
  }),
]);

export const Options = z.strictObject({
  maxCauses: z.number().int().min(0).max(3).optional().describe("K, default 2"),
  seed: z.number().int().min(0).optional().describe("for the redraws of rates, default 1"),
  draws: z.number().int().min(0).max(10000).optional().describe("default 200"),
  target: z
    .enum(["active", "root"])
    .optional()
    .describe("what the next test should tell: what is at work, or what it was"),
});

/** Which simulated machine a record is of; the truth is nowhere in it. */
export const Practice = z.strictObject({
  version: z.string().min(1).max(40).describe("the catalog's version that the machine was made with"),
  difficulty: Id,
  theme: Id.describe("a group of causes, or `any`"),
  seed: z.number().int().min(0),
  by: Name.optional().describe("who works it"),
  hints: z.number().int().min(0).optional(),
  ending: z.enum(["release", "return"]).optional().describe("none: still on the bench"),
});

export const Ticket = z.strictObject({
  format: z.literal(TICKET_FORMAT),
  id: Id,
  title: Name,
  owner: Name.optional(),
  catalog: z
    .union([z.string().min(1).max(400), Catalog])
    .describe("a catalog's id or path, or the catalog itself"),
  machine: Machine,
  causes: z.array(CauseTemplate).optional().describe("causes of this ticket's own, beside the catalog's"),
  currency: z
    .string()
    .regex(CURRENCY, "expected a code of three capital letters, such as EUR")
    .optional()
    .describe("ISO 4217, of every sum of money in the ticket; none: the sums are bare; weighs nothing"),
  labourPerHour: z.number().min(0).optional(),
  terms: Terms.optional().describe("where they differ from the catalog's"),
  release: Release.optional().describe("where it differs from the catalog's"),
  options: Options.optional(),
  practice: Practice.optional(),
  entries: z.array(Entry).max(20000),
  deleted: z
    .array(
      z.strictObject({
        entry: Entry,
        before: Id.optional().describe("the entry it stood before; none: it was the last"),
      }),
    )
    .max(20000)
    .optional()
    .describe("entries taken out of the record, newest last; they weigh nothing and can be brought back"),
  parked: z
    .strictObject({
      for: z.enum(["part", "owner", "cold"]).describe("a part to come, the owner's yes, or cold"),
      since: z.string().max(40).describe("date and time, ISO 8601"),
    })
    .optional()
    .describe("waits on the shelf; weighs nothing"),
});

export type Ticket = z.infer<typeof Ticket>;
export type Machine = z.infer<typeof Machine>;
export type Part = z.infer<typeof Part>;
export type Entry = z.infer<typeof Entry>;
export type Trial = z.infer<typeof Trial>;
export type EntryOf<K extends Entry["kind"]> = Extract<Entry, { kind: K }>;
