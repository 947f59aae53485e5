/** `fitful schema NAME`: the published JSON Schema of a file. */
import { z } from "zod";
import { Catalog } from "../catalog/schema.js";
import { Matching } from "../learn/table/matching.js";
import { Ticket } from "../ticket/schema.js";
import { CallFault, json, type Reply } from "./reply.js";

const SCHEMAS = new Map<string | undefined, z.ZodType>([
  ["catalog", Catalog],
  ["ticket", Ticket],
  ["matching", Matching],
]);

export function schema(names: string[]): Reply {
  const shape = SCHEMAS.get(names[0]);
  if (!shape || names.length > 1)
    throw new CallFault(
      `schema: found ${names.join(" ") || "nothing"}, expected catalog, ticket or matching`,
    );
  return { out: json(z.toJSONSchema(shape)), code: 0 };
}
