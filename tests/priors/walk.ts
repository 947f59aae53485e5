/**
 * Walk data along its zod schema, to find what the schema says about a place and not what the data look like.
 *
 * A *figure* is a union of a number and an object that can carry a `source`; any other object whose schema has a
 * `source` (a finding, a band, an intermittency) must carry one too.
 */
import { z } from "zod";

export interface Problem {
  path: string;
  found: string;
  expected: string;
}

type Loose = Record<string, unknown>;

const isObject = (value: unknown): value is Loose =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** What stays of a schema once optional, default, nullable and the like are taken off. */
function bare(schema: z.ZodType): z.ZodType {
  if (schema instanceof z.ZodOptional || schema instanceof z.ZodNullable)
    return bare(schema.unwrap() as z.ZodType);
  return schema;
}

const canCarrySource = (schema: z.ZodType): boolean =>
  schema instanceof z.ZodObject && "source" in schema.shape;

const options = (schema: z.ZodType): z.ZodType[] =>
  schema instanceof z.ZodUnion ? (schema.options as z.ZodType[]).map(bare).flatMap(options) : [schema];

/** A union of a number and an object with a source. */
export const isFigure = (schema: z.ZodType): boolean => {
  const all = options(bare(schema));
  return all.some((s) => s instanceof z.ZodNumber) && all.some(canCarrySource);
};

const sourced = (value: Loose) => typeof value.source === "string" && value.source.trim() !== "";

/** Every place of `data` where `schema` allows a source and there is none. */
export function unsourced(schema: z.ZodType, data: unknown, path = ""): Problem[] {
  if (data === undefined) return [];
  const expected = "a figure with its source";
  if (isFigure(schema) && typeof data === "number")
    return [{ path, found: `the bare number ${data}`, expected }];
  const fitting = options(bare(schema)).find((s) => s.safeParse(data).success);
  if (fitting instanceof z.ZodArray)
    return (data as unknown[]).flatMap((item, i) =>
      unsourced(fitting.element as z.ZodType, item, `${path}[${i}]`),
    );
  if (fitting instanceof z.ZodRecord)
    return Object.entries(data as Loose).flatMap(([key, item]) =>
      unsourced(fitting.valueType as z.ZodType, item, `${path}.${key}`),
    );
  if (!(fitting instanceof z.ZodObject) || !isObject(data)) return [];
  const here = canCarrySource(fitting) && !sourced(data) ? [{ path, found: "no source", expected }] : [];
  const shape = fitting.shape as Record<string, z.ZodType>;
  return [
    ...here,
    ...Object.keys(shape).flatMap((key) => unsourced(shape[key]!, data[key], `${path}.${key}`)),
  ];
}
