/**
 * The catalog: what a kind of machine is, which causes it can have, how they show and what can be done.
 *
 * Types, validation and the published JSON Schema all come from here.
 */
import { z } from "zod";
import { BetaChance, Chance, Minutes, Money, Positive, Quantity, Rate, Weight } from "./figures.js";

export const CATALOG_FORMAT = "fitful/catalog@1";

const Id = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/, "expected an id of letters, digits, - and _")
  .describe("letters, digits, - and _");
const Name = z.string().min(1).max(200);
const Text = z.string().max(4000);
const Cautions = z.array(Id).optional().describe("ids of cautions shown before the work");

/** Chances by stage; they add up to 1. */
const Signature = z
  .record(Id, z.number().min(0).max(1))
  .describe("stage id → chance that a machine stopped by this cause stops there; adds up to 1");

export const Intermittency = z
  .union([
    z.strictObject({
      hard: z.number().min(0).max(1).describe("h: chance that it is a hard fault, r = 1"),
      a: z.number().positive(),
      b: z.number().positive(),
      source: z.string().optional(),
      note: z.string().optional(),
    }),
    z.strictObject({
      fixed: z.number().min(0).max(1).describe("r, known exactly"),
      source: z.string().optional(),
      note: z.string().optional(),
    }),
  ])
  .describe("manifestation rate: h·δ(1) + (1 − h)·Beta(a, b), or fixed");

export const GROUPS = ["part", "contact", "firmware", "setting", "supply", "outside", "heat"] as const;

/** A cause template: expands to one cause per part of a kind, per position of a kind, or once. */
export const CauseTemplate = z.strictObject({
  id: Id,
  name: Name,
  group: z.enum(GROUPS).describe("for colour and for the list of what has not been looked at"),
  per: z
    .union([
      z.literal("machine"),
      z.literal("donor"),
      z.strictObject({ part: Id.describe("part kind") }),
      z.strictObject({ position: Id.describe("position kind") }),
    ])
    .describe(
      "one cause per machine, per donor machine, per part of a kind, or per position of a kind on each part that carries it",
    ),
  contact: z
    .boolean()
    .optional()
    .describe("a contact: inserting the part, or a part into the position, reseats it"),
  reseat: Chance.optional().describe("chance that reseating clears a contact (efficacy η)"),
  rate: Rate.optional().describe("annual failure rate"),
  shape: Positive.optional().describe("Weibull shape k, default 1 (constant)"),
  events: z
    .record(Id, BetaChance)
    .optional()
    .describe("event id → chance that the event brought this cause in"),
  weight: Weight.optional().describe(
    "factor on the prior odds in a machine brought in, learned from past tickets; default 1",
  ),
  spare: BetaChance.optional().describe("chance that a spare believed good, or a donor, has this cause"),
  intermittency: Intermittency,
  signature: Signature,
  exposure: z
    .union([z.number().min(0), z.string().min(1).max(500)])
    .optional()
    .describe("exposure of one trial while fitted: a number or an expression; default 1"),
  note: Text.optional(),
});

export const Position = z.strictObject({
  id: Id,
  name: Name,
  kind: Id.describe("position kind, such as memory-slot"),
  accepts: Id.describe("part kind"),
  on: Id.optional().describe("part kind that carries this position, such as board"),
  needed: z.boolean().optional().describe("the machine cannot be tried with it empty"),
  without: Name.optional().describe('how a start is made with it empty, after "start it": "by …"'),
  at: z
    .strictObject({ x: z.number(), y: z.number(), w: z.number().positive(), h: z.number().positive() })
    .optional()
    .describe("where it is drawn, in units of a 120 × 90 drawing"),
});

export const PartKind = z.strictObject({
  id: Id,
  name: Name,
  insert: Minutes.describe("minutes to insert one"),
  remove: Minutes.describe("minutes to remove one"),
  price: Money.optional().describe("price of a new one"),
  needsOne: z.boolean().optional().describe("the machine needs at least one fitted to be tried"),
  cautions: Cautions,
});

export const Setting = z.strictObject({
  id: Id,
  name: Name,
  values: z.array(z.strictObject({ id: Id, name: Name })).min(2),
  default: Id,
  minutes: Minutes.describe("minutes to change it"),
  test: z.boolean().optional().describe("changing it is offered as a test; default true"),
  touches: z.array(Id).optional().describe("cause templates that a change reseats, as replugging does"),
  cautions: Cautions,
});

/** A condition of a start, in minutes, with named classes by threshold. */
export const Condition = z.strictObject({
  id: Id,
  name: Name,
  default: Id.describe("class id"),
  classes: z
    .array(
      z.strictObject({
        id: Id,
        name: Name,
        from: z.number().min(0).describe("smallest number of minutes in this class"),
        typical: z.number().min(0).describe("minutes taken when only the class is stated"),
        wait: Minutes.optional().describe("labour minutes that each trial in this class adds"),
        unattended: Minutes.optional().describe("minutes that each trial in this class adds with nobody by"),
      }),
    )
    .min(1)
    .describe("in rising order of `from`; the first starts at 0"),
});

const Effects = z.record(Id, z.record(Id, z.number().min(0).max(1)));

export const Finding = z.strictObject({
  id: Id,
  name: Name,
  ask: Text.optional().describe("what to look at, in a sentence"),
  on: z.union([z.literal("machine"), z.strictObject({ part: Id }), z.strictObject({ position: Id })]),
  values: z
    .array(z.strictObject({ id: Id, name: Name }))
    .min(2)
    .describe("ranked; the last is what shows when nothing was brought up"),
  base: z
    .record(Id, z.number().min(0).max(1))
    .describe("value id → chance in any machine; every value but the last, above 0"),
  causes: Effects.describe("cause template id → value id → chance that a present cause brings the value up"),
  minutes: Minutes,
  cautions: Cautions,
  source: z.string().optional(),
});

export const Reading = z.strictObject({
  id: Id,
  name: Name,
  ask: Text.optional(),
  on: z.union([z.literal("machine"), z.strictObject({ part: Id }), z.strictObject({ position: Id })]),
  unit: z.string().min(1).max(20),
  range: z.tuple([z.number(), z.number()]).describe("what the instrument can show"),
  band: z
    .strictObject({ low: z.number(), high: z.number(), source: z.string().optional() })
    .optional()
    .describe("published tolerance band, shown beside the reading"),
  healthy: z.strictObject({ mean: Quantity, sd: Positive }),
  causes: z.record(
    Id,
    z.strictObject({ mean: Quantity, sd: Positive, chance: Chance, source: z.string().optional() }),
  ),
  slip: Chance.optional().describe("chance of a slip, uniform over the range; default 0.01"),
  minutes: Minutes,
  cautions: Cautions,
  source: z.string().optional(),
});

export const Repair = z.strictObject({
  id: Id,
  name: Name,
  on: z.union([z.literal("machine"), z.strictObject({ part: Id }), z.strictObject({ position: Id })]),
  clears: z.record(Id, Chance).describe("cause template id → efficacy η"),
  sets: z.record(Id, Id).optional().describe("settings that hold afterwards"),
  minutes: Minutes,
  cost: Money.optional().describe("parts consumed"),
  damage: z.strictObject({ chance: Chance, cost: Money }).optional(),
  needs: z.strictObject({ reach: Id.describe("outcome that a start must at least reach") }).optional(),
  test: z.boolean().optional().describe("offered as a test: repair, then try; default true"),
  cautions: Cautions,
  source: z.string().optional(),
});

/** What things are worth, where advice is about money; what is not stated has a default in engine/plan/terms.ts. */
export const Terms = z.strictObject({
  comeback: Money.optional().describe(
    "what it costs the shop when a released machine comes back with the fault",
  ),
  worth: Money.optional().describe(
    "what the working machine is worth to its owner, lost if it goes back unrepaired",
  ),
  most: Money.optional().describe("the most that the owner will pay"),
  unattended: Chance.optional().describe("price of a minute nobody stands by, as a share of labour"),
});

/** When a machine is fixed enough to go home; a `release` entry of the record is another thing. */
export const Release = z.strictObject({
  perDay: z
    .union([
      z.number().min(0).max(1000),
      z
        .array(
          z.strictObject({
            conditions: z
              .record(Id, Id)
              .describe("condition id → class id; what is not named holds its default"),
            perDay: z.number().min(0).max(1000),
          }),
        )
        .min(1),
    ])
    .optional()
    .describe("starts a day at the owner's, or how many under which conditions; default 1"),
  days: z.number().min(0).max(10000).optional().describe("days in which a comeback counts, default 30"),
  limit: Chance.optional().describe("chance of a comeback that the shop will take, default 0.05"),
});

/** Where tuned figures come from, and what stood there before: enough to take the tuning back. */
export const Tuning = z.strictObject({
  from: z.strictObject({ id: Id, version: z.string() }).describe("the catalog before"),
  by: z.string().max(100).describe("program and version"),
  tickets: z.number().int().min(0),
  confirmed: z.number().int().min(0),
  first: z.string().max(40).optional().describe("day the earliest ticket was closed, ISO 8601"),
  last: z.string().max(40).optional(),
  columns: z.record(z.string(), z.string()).describe("what is read → column of the table"),
  verdict: Text.describe("whether it helped on tickets left out"),
  changes: z.array(
    z.strictObject({
      path: z.array(z.string()).describe("keys; an entry of a list is named by its id"),
      before: z.unknown().optional().describe("absent where there was nothing"),
      after: z.unknown(),
    }),
  ),
});

export const Catalog = z.strictObject({
  format: z.literal(CATALOG_FORMAT),
  id: Id,
  version: z.string().min(1).max(40),
  name: Name,
  note: Text.optional(),
  tuned: Tuning.optional().describe("where the figures come from that were learned from past tickets"),
  stages: z
    .array(z.strictObject({ id: Id, name: Name, short: Name.optional(), hint: Text.optional() }))
    .min(1)
    .max(20)
    .describe("where a machine can stop, in the order it passes; `clean` comes after the last"),
  leak: z
    .strictObject({ chance: Chance, signature: Signature })
    .describe("a healthy machine stops now and then"),
  nothingWrong: Chance.describe("ν: share of brought-in machines with nothing wrong"),
  unlisted: Chance.describe("u: share with a cause that is not listed"),
  windowYears: Positive.optional().describe("look-back window W in years, default 0.25"),
  events: z
    .array(
      z.strictObject({
        id: Id,
        name: Name,
        windowYears: Positive.describe("counts only if this close to the complaint"),
      }),
    )
    .optional(),
  parts: z.array(PartKind),
  positions: z.array(Position),
  settings: z.array(Setting).optional(),
  conditions: z.array(Condition).optional(),
  trialMinutes: Minutes.describe("minutes of one power-on trial"),
  labourPerHour: Money.optional().describe("default labour rate"),
  terms: Terms.optional(),
  release: Release.optional(),
  causes: z.array(CauseTemplate),
  findings: z.array(Finding).optional(),
  readings: z.array(Reading).optional(),
  repairs: z.array(Repair).optional(),
  cautions: z.array(z.strictObject({ id: Id, text: Text, danger: z.boolean().optional() })).optional(),
  machine: z
    .strictObject({
      parts: z.array(z.strictObject({ id: Id, kind: Id, position: Id, name: Name.optional() })),
    })
    .optional()
    .describe("a usual machine of this kind, to start a new ticket from"),
});

export type Catalog = z.infer<typeof Catalog>;
export type CauseTemplate = z.infer<typeof CauseTemplate>;
export type Finding = z.infer<typeof Finding>;
export type Reading = z.infer<typeof Reading>;
export type Repair = z.infer<typeof Repair>;
export type Setting = z.infer<typeof Setting>;
export type Condition = z.infer<typeof Condition>;
export type Position = z.infer<typeof Position>;
export type PartKind = z.infer<typeof PartKind>;
export type Target = Finding["on"];
export type Tuning = z.infer<typeof Tuning>;
export type Terms = z.infer<typeof Terms>;
export type Release = z.infer<typeof Release>;
