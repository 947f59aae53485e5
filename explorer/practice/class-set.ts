/** A set of practice machines for a class, and what came back. Pure. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { codeOf, MOST_SEED, type Deal } from "../../engine/practice/deal.js";
import { DIFFICULTIES, isThemed, type DifficultyId } from "../../engine/practice/difficulties.js";
import { issue } from "../../engine/issue.js";
import type { Envelope } from "../../engine/practice/envelope.js";
import type { Moment } from "../../engine/practice/moments.js";
import { textOf } from "../../engine/practice/rules.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Issue } from "../../engine/weighing.js";
import { csvOf, tableOf } from "../charts/figure.js";
import { endingWords, themeWords } from "./words.js";

/** Machines in one set at most. */
export const MOST_IN_SET = 40;

interface Asked {
  difficulty: DifficultyId;
  theme: string;
  /** as typed; null where nothing is */
  count: number | null;
  first: number | null;
}

/** So many machines, numbered on from the first; or what is wrong with what was asked for. */
export function setOf(
  catalog: Catalog,
  { count, first, ...kind }: Asked,
): { deals: Deal[] } | { issues: Issue[] } {
  const issues = [
    notWhole("how many", count, 1, MOST_IN_SET),
    notWhole("from number", first, 0, MOST_SEED - MOST_IN_SET),
  ].filter((one) => one !== null);
  if (issues.length > 0) return { issues };
  const { id, version } = catalog;
  const deals = Array.from({ length: count! }, (_, k) => ({
    catalog: id,
    version,
    ...kind,
    seed: first! + k,
  }));
  return { deals };
}

const notWhole = (path: string, typed: number | null, least: number, most: number): Issue | null =>
  Number.isInteger(typed) && typed! >= least && typed! <= most
    ? null
    : issue(path, typed === null ? "nothing" : String(typed), `a whole number from ${least} to ${most}`);

/** One link a line, with the machine's number before it. */
export const setText = (deals: readonly Deal[], linkOf: (code: string) => string): string =>
  deals.map((deal) => `${deal.seed}\t${linkOf(codeOf(deal))}\n`).join("");

export type Lost = Moment & { heading: string };

/** A trainee's record as it came back. */
export interface Collected {
  /** tells it from all others: files of several trainees may have one name */
  key: number;
  file: string;
  by: string;
  /** the machine it says it is of; null where it says none */
  deal: Deal | null;
  /** what was done and when, as text; nothing where it was not read */
  done: string;
  result: Envelope | null;
  /** where most was lost; null while that is worked out */
  lost: Lost[] | null;
  issues: Issue[];
}

/** What was done and when: no two trainees press at the same thousandth of a second. */
export const doneIn = ({ entries }: Ticket): string => textOf(entries);

/** The record that came before this one and says the same, time for time; null where none does. */
export const copied = (rows: readonly Collected[], { key, done }: Collected): Collected | null =>
  done === "" ? null : (rows.find((row) => row.done === done && row.key < key) ?? null);

/** Whose record it is, or else which file. */
export const whose = ({ by, file }: Collected): string => by || file;

/** Difficulty and theme of a machine. */
export const kindWords = ({ difficulty, theme }: Deal): string =>
  DIFFICULTIES[difficulty].name + (isThemed(difficulty) ? `. Theme: ${themeWords(theme)}` : "");

/** The class sheet as a table for a file. */
export const sheetCsv = (rows: readonly Collected[]): string =>
  csvOf(
    tableOf("Practice records", rows, [
      { title: "file", of: (row) => row.file },
      { title: "trainee", of: (row) => row.by },
      { title: "machine", of: (row) => row.deal?.seed ?? null },
      { title: "kind of machine", of: (row) => row.deal && kindWords(row.deal) },
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
      { title: "minutes of it", of: (row) => row.lost?.[0]?.minutes ?? null },
      { title: "same record as", of: (row) => copied(rows, row)?.file ?? null },
      { title: "not read because", of: (row) => row.issues.map((x) => x.message).join("; ") || null },
    ]),
  );
