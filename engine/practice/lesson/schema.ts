/**
 * A lesson: a ticket with its own small catalog, controls that change it, figures that the engine weighs from it, and
 * text, charts and questions that name those figures. No figure is ever typed in.
 */
import { z } from "zod";
import { Ticket } from "../../ticket/schema.js";

export const LESSON_FORMAT = "fitful/lesson@1";

const Id = z.string().regex(/^[A-Za-z][A-Za-z0-9-]{0,40}$/, "expected an id of letters, digits and -");
const Name = z.string().min(1).max(200);
/** `{id}` stands for a control's value or a figure; digits are not allowed: a number comes from the engine or a control */
const Text = z
  .string()
  .min(1)
  .max(2000)
  .refine((text) => !/\d/.test(text.replaceAll(/\{[^}]*\}/g, "")), "expected no digit outside braces");

const Cause = z.string().describe("id of a concrete cause");
const After = z.string().optional().describe("id of an entry: as it stood after that; none: at the end");

/** What is read off a weighing. */
export const Reading = z.discriminatedUnion("of", [
  z.strictObject({ of: z.enum(["present", "atWork"]), cause: Cause, after: After }),
  z.strictObject({ of: z.enum(["none", "unlisted"]), after: After }),
  z.strictObject({ of: z.literal("prior"), cause: Cause }),
  z.strictObject({ of: z.literal("rate"), cause: Cause, point: z.enum(["mean", "low", "high"]) }),
  z.strictObject({ of: z.enum(["decibans", "factor"]), entry: z.string(), cause: Cause }),
  z.strictObject({ of: z.literal("next"), outcome: z.string() }),
  z.strictObject({ of: z.literal("set"), causes: z.array(Cause).min(1) }),
  z.strictObject({ of: z.literal("price"), part: z.string() }),
]);

const With = z.record(Id, z.number()).optional().describe("controls held at other values meanwhile");

/** The smallest value of a control at which a falling figure has come down to a limit. */
export const Smallest = z.strictObject({
  control: Id,
  figure: Id,
  atMost: Id.optional().describe("a control that is the limit"),
  atMostFigure: Id.optional().describe("a figure that is the limit, as the controls stand"),
  with: With,
});

export const LessonFigure = z
  .strictObject({
    id: Id,
    name: Name,
    say: z.enum(["percent", "count", "times", "decibans", "money"]),
    read: Reading.optional(),
    ratio: z.tuple([Id, Id]).optional(),
    smallest: Smallest.optional(),
  })
  .refine(
    (f) => [f.read, f.ratio, f.smallest].filter(Boolean).length === 1,
    "expected one of read, ratio and smallest",
  );

export const LessonControl = z.strictObject({
  id: Id,
  label: Name,
  min: z.number(),
  max: z.number(),
  step: z.number().positive(),
  value: z.number(),
  as: z
    .enum(["oneIn", "hundredth", "thousandth"])
    .optional()
    .describe("what a value x stands for: 1/x, x/100, x/1000"),
  to: z.array(z.string()).describe("paths in the ticket that it sets, with ids in lists"),
});

const Line = z.strictObject({ along: Id, figures: z.array(Id).min(1), with: With, title: Name });

export const LessonPart = z.union([
  z.strictObject({ text: Text }),
  Line.extend({ chart: z.literal("line"), and: Line.optional().describe("a second one beside it") }),
  z.strictObject({ chart: z.literal("bars"), figures: z.array(Id).min(1), title: Name }),
  z
    .strictObject({ ask: Text, guess: Id, within: z.number().min(0), because: Text })
    .describe("a number is guessed"),
  z
    .strictObject({
      ask: Text,
      choices: z.array(z.strictObject({ text: Text, figure: Id })).min(2),
      right: z.enum(["largest", "smallest"]),
      because: Text,
    })
    .describe("right is the choice with the largest, or smallest, figure"),
  z
    .strictObject({
      ask: Text,
      compare: z.tuple([Id, Id]),
      choices: z.strictObject({ less: Text, same: Text, more: Text }),
      because: Text,
    })
    .describe("right is how the first figure stands to the second"),
]);

export const Lesson = z.strictObject({
  format: z.literal(LESSON_FORMAT),
  id: Id,
  title: Name,
  shows: Text,
  ticket: Ticket,
  controls: z.array(LessonControl).min(1),
  figures: z.array(LessonFigure).min(1),
  parts: z.array(LessonPart).min(3),
});

export type Lesson = z.infer<typeof Lesson>;
export type LessonPart = z.infer<typeof LessonPart>;
export type LessonFigure = z.infer<typeof LessonFigure>;
export type LessonControl = z.infer<typeof LessonControl>;
export type LessonReading = z.infer<typeof Reading>;
export type ControlValues = Record<string, number>;
