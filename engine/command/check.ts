/** `fitful check FILE…`: every fault of tickets and catalogs, told apart by their `format`. */
import { CATALOG_FORMAT } from "../catalog/schema.js";
import { TICKET_FORMAT } from "../ticket/schema.js";
import { issue } from "../issue.js";
import type { Issue } from "../weighing.js";
import { createWeigher, parseCatalog, parseTicket } from "../weigh.js";
import { catalogFor } from "./catalogs.js";
import { nameOf, readJson } from "./files.js";
import { CallFault, faultLines, InputFaults, json, type Faults, type Reply, type Values } from "./reply.js";

export async function check(files: string[], { json: asJson }: Values): Promise<Reply> {
  if (files.length === 0) throw new CallFault("check: found no file, expected at least one; see fitful help");
  const checked: (Faults & { format: string | null })[] = [];
  for (const file of files) checked.push(await checkFile(file));
  const out = asJson ? json({ files: checked }) : checked.flatMap(lines).join("\n") + "\n";
  return { out, code: checked.every(({ issues }) => issues.length === 0) ? 0 : 1 };
}

const lines = (faults: Faults & { format: string | null }): string[] =>
  faults.issues.length === 0 ? [`${faults.file}: fine (${faults.format})`] : faultLines(faults);

async function checkFile(file: string): Promise<Faults & { format: string | null }> {
  let format: string | null = null;
  try {
    const data = await readJson(file);
    format = formatOf(data);
    return { file: nameOf(file), format, issues: await issuesOf(data, format, file) };
  } catch (error) {
    if (error instanceof InputFaults) return { ...error.faults, file: nameOf(file), format };
    throw error;
  }
}

function formatOf(data: unknown): string | null {
  if (typeof data !== "object" || data === null || !Object.hasOwn(data, "format")) return null;
  const { format } = data as { format: unknown };
  return typeof format === "string" ? format : null;
}

async function issuesOf(data: unknown, format: string | null, file: string): Promise<Issue[]> {
  if (format === CATALOG_FORMAT) return found(parseCatalog(data));
  if (format === TICKET_FORMAT) return ticketIssues(data, file);
  return [issue("format", format ?? "nothing", `${TICKET_FORMAT} or ${CATALOG_FORMAT}`)];
}

/** The ticket by itself, then with its catalog: names that the catalog does not know show only there. */
async function ticketIssues(data: unknown, file: string): Promise<Issue[]> {
  const parsed = parseTicket(data);
  if ("issues" in parsed) return parsed.issues;
  const catalog = await catalogFor(parsed.ticket, file);
  return found(createWeigher(catalog).weigh(parsed.ticket, { advice: false }));
}

const found = (result: object): Issue[] => ("issues" in result ? (result.issues as Issue[]) : []);
