/** Which catalog a ticket is weighed with: a file named in the call, one written in the ticket, an id or a path. */
import { readdir } from "node:fs/promises";
import { dirname, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import type { Catalog } from "../catalog/schema.js";
import { nearest } from "../ticket/nearest.js";
import { issue } from "../issue.js";
import { parseCatalog } from "../ticket/parse.js";
import type { Ticket } from "../ticket/schema.js";
import { readJson, STANDARD_INPUT } from "./files.js";
import { InputFaults } from "./reply.js";

const PRIORS = fileURLToPath(new URL("../../priors/", import.meta.url));

/**
 * @param file  where the ticket was read from: a path in it is relative to that
 * @throws {InputFaults} where there is no such catalog, or it is wrong
 */
export async function catalogFor(ticket: Pick<Ticket, "catalog">, file: string): Promise<Catalog> {
  const { catalog } = ticket;
  if (typeof catalog !== "string") return catalog;
  if (/[./\\]/.test(catalog))
    return readCatalog(resolve(file === STANDARD_INPUT ? "." : dirname(file), catalog));
  return shippedCatalog(catalog, file);
}

export async function readCatalog(file: string): Promise<Catalog> {
  const parsed = parseCatalog(await readJson(file));
  if ("issues" in parsed) throw new InputFaults({ file, issues: parsed.issues });
  return parsed.catalog;
}

async function shippedCatalog(id: string, file: string): Promise<Catalog> {
  const names = (await readdir(PRIORS))
    .filter((name) => name.endsWith(".json"))
    .map((name) => name.slice(0, -5));
  if (names.includes(id)) return readCatalog(resolve(PRIORS, `${id}.json`));
  const near = nearest(id, names);
  const expected = `the id of a catalog (${names.sort().join(", ")}) or a path${near ? `; nearest is ${near}` : ""}`;
  throw new InputFaults({ file, issues: [issue("catalog", id, expected)] });
}
