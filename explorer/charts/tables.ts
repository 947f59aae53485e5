/** The tables behind the charts. Pure. */
import { decibans, oneIn, percent } from "../bench/format.js";
import type { AnswerRow } from "./answer-rows.js";
import type { ExposureRow } from "./exposure-rows.js";
import { exposed } from "./exposures.js";
import { tableOf, type FigureTable } from "./figure.js";
import { chanceAt, type LedgerRow } from "./ledger-rows.js";
import type { Rates } from "./rate-rows.js";
import type { BeliefPoint, ComebackRows, SuspectRow } from "./rows.js";
import { triedTable, type Tried } from "./tried-rows.js";

export const suspectsTable = (rows: readonly SuspectRow[], rates: ReadonlyMap<string, number>): FigureTable =>
  tableOf("How likely each suspect is", rows, [
    { title: "Suspect", of: (d) => d.name },
    { title: "Group", of: (d) => (d.group === d.id ? "" : d.group) },
    { title: "Now", of: (d) => d.p, say: percent },
    { title: "5 %", of: (d) => d.low, say: percent },
    { title: "95 %", of: (d) => d.high, say: percent },
    { title: "Before", of: (d) => d.before, say: percent },
    { title: "Shows at", of: (d) => rates.get(d.id) ?? null, say: oneIn },
  ]);

export function beliefTable(points: readonly BeliefPoint[]): FigureTable {
  const names = new Map(points.map((point) => [point.id, point.name]));
  const entries = [...new Set(points.map((point) => point.entry))];
  const at = new Map(points.map((point) => [`${point.entry} ${point.id}`, point.p]));
  return tableOf("How likely the leading suspects were after every entry", entries, [
    { title: "Entry", of: (entry) => entry },
    ...[...names].map(([id, title]) => ({
      title,
      of: (entry: number) => at.get(`${entry} ${id}`) ?? null,
      say: percent,
    })),
  ]);
}

export const ledgerTable = (rows: readonly LedgerRow[]): FigureTable =>
  tableOf("How each entry moved the odds", rows, [
    { title: "Entry", of: (d) => d.label },
    { title: "Weight, decibans", of: (d) => d.weight, say: decibans },
    { title: "Then, decibans", of: (d) => d.to, say: decibans },
    { title: "Then, chance", of: (d) => chanceAt(d.to), say: percent },
  ]);

const whole = (n: number) => String(n);

export function triedMapTable(tried: Tried): FigureTable {
  return tableOf("Starts by setup and outcome", triedTable(tried), [
    { title: "Setup", of: (d) => d.setup },
    { title: "Starts", of: (d) => d.all, say: whole },
    ...tried.outcomes.map(({ name }, k) => ({
      title: name,
      of: (d: { counts: number[] }) => d.counts[k] ?? null,
      say: whole,
    })),
  ]);
}

export const ratesTable = ({ rows }: Rates): FigureTable =>
  tableOf("Chance to show at one start, if it is the cause", rows, [
    { title: "Suspect", of: (d) => d.name },
    { title: "Mean", of: (d) => d.mean, say: percent },
    { title: "5 %", of: (d) => d.low, say: percent },
    { title: "95 %", of: (d) => d.high, say: percent },
    { title: "Every start", of: (d) => d.hard, say: percent },
  ]);

export const answersTable = (rows: readonly AnswerRow[]): FigureTable =>
  tableOf(
    "What every answer would do",
    rows.flatMap(({ effect, ...row }) => (effect ? [{ ...row, ...effect }] : [])),
    [
      { title: "Answer", of: (d) => d.answer },
      { title: "Likely", of: (d) => d.chance, say: percent },
      { title: "Suspect", of: (d) => d.name },
      { title: "Now", of: (d) => d.before, say: percent },
      { title: "Then", of: (d) => d.after, say: percent },
    ],
  );

export const exposuresTable = (rows: readonly ExposureRow[]): FigureTable =>
  tableOf("How much the next start exercises each suspect", rows, [
    { title: "Suspect", of: (d) => d.name },
    { title: "Was it", of: (d) => d.p, say: percent },
    { title: "Exercised", of: (d) => d.exposure, say: exposed },
  ]);

export function comebackTable({ points }: ComebackRows): FigureTable {
  const places = [...new Set(points.map((point) => point.where))];
  const counts = [...new Set(points.map((point) => point.n))];
  const at = new Map(points.map(({ n, where, chance }) => [`${n} ${where}`, chance]));
  return tableOf("Chance of a comeback after further clean starts", counts, [
    { title: "Clean starts", of: (n) => n },
    ...places.map((where) => ({
      title: where,
      of: (n: number) => at.get(`${n} ${where}`) ?? null,
      say: percent,
    })),
  ]);
}
