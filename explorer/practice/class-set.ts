/** A set of practice machines for a class, and what came back. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { codeOf, type Deal } from "../../engine/practice/deal.js";
import type { DifficultyId } from "../../engine/practice/difficulties.js";
import type { Envelope } from "../../engine/practice/envelope.js";
import type { Moment } from "../../engine/practice/moments.js";
import type { Issue } from "../../engine/weighing.js";
import { csvOf, tableOf } from "../charts/figure.js";
import { endingWords } from "./words.js";

export const setOf = (
  catalog: Catalog,
  { count, first, ...kind }: { difficulty: DifficultyId; theme: string; count: number; first: number },
): Deal[] =>
  Array.from({ length: count }, (_, k) => ({
    catalog: catalog.id,
    version: catalog.version,
    ...kind,
    seed: first + k,
  }));

/** One link a line, with the machine's number before it. */
export const setText = (deals: readonly Deal[], linkOf: (code: string) => string): string =>
  deals.map((deal) => `${deal.seed}\t${linkOf(codeOf(deal))}\n`).join("");

/** A trainee's record as it came back. */
export interface Collected {
  file: string;
  by: string;
  machine: number;
  result: Envelope | null;
  /** where most was lost, with the entry's heading; null while that is worked out */
  lost: (Moment & { heading: string })[] | null;
  issues: Issue[];
}

/** The class sheet as a table for a file. */
export const sheetCsv = (rows: readonly Collected[]): string =>
  csvOf(
    tableOf("Practice records", rows, [
      { title: "file", of: (row) => row.file },
      { title: "trainee", of: (row) => row.by },
      { title: "machine", of: (row) => row.machine },
      { title: "points", of: (row) => row.result?.points ?? null },
      { title: "hints", of: (row) => row.result?.hints ?? null },
      { title: "minutes", of: (row) => row.result?.own.minutes ?? null },
      { title: "engine's minutes", of: (row) => row.result?.engine.minutes ?? null },
      { title: "cost", of: (row) => row.result?.own.total ?? null },
      { title: "engine's cost", of: (row) => row.result?.engine.total ?? null },
      { title: "parts wrongly replaced", of: (row) => row.result?.own.wrongParts ?? null },
      { title: "cause named", of: (row) => (row.result ? String(row.result.own.right) : null) },
      { title: "ending", of: (row) => row.result && endingWords(row.result.own) },
      { title: "lost most on", of: (row) => row.lost?.[0]?.heading ?? null },
      { title: "loss", of: (row) => row.lost?.[0]?.loss ?? null },
      { title: "not read because", of: (row) => row.issues.map((x) => x.message).join("; ") || null },
    ]),
  );
