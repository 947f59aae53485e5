/** Where a weighing by the engine and one by the slow oracle differ, and by how much. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { EntryView, Weighing } from "../../engine/weighing.js";
import {
  decibans,
  predictive,
  rateMeans,
  rateShare,
  snapshot,
  weighWithProbe,
  type Snapshot,
} from "./belief.js";
import { logEvidence, truncated, weighDense, type DenseStep, type Table } from "./dense.js";
import { findingEntropy, readingEntropy, sequenceEntropy } from "./information.js";
import { compareAdvice } from "./compareAdvice.js";
import {
  exposuresIn,
  findingAsked,
  isFitted,
  minutesOf,
  setupKey,
  translate,
  type Passage,
  type Translation,
} from "./translate.js";

export interface Difference {
  where: string;
  engine: number | string | null;
  oracle: number | string | null;
  off: number;
}

/** One tolerance per kind of quantity. */
export const WITHIN = { chance: 1e-9, log: 1e-9, mean: 1e-9, bits: 1e-9, decibans: 1e-8, quantile: 1e-6 };
/** Decibans of a chance this near 0 or 1 magnify what is agreed about the chance itself. */
const EDGE = 1e-6;

/**
 * How far the last halving of the oracle's grid may have moved a mass. Its error falls as exp(−c / step), so a halving
 * squares it: what moved by 1e-8 is right to 1e-15. Triples are the costly ones.
 */
const settled = (maxCauses: number) => (maxCauses === 3 ? 1e-8 : 1e-11);

/** How many causes have the tails of their rates worked out. */
const MOST_TAILS = 2;

type Kind = keyof typeof WITHIN;
/** Notes a pair of figures; both undefined (null or not finite) is agreement. */
export type Note = (where: string, engine: number | null | undefined, oracle: number, kind: Kind) => void;

export interface Comparison {
  differences: Difference[];
  /** largest difference seen, by kind */
  worst: Record<Kind, number>;
  figures: number;
}

/** @param deep  also the tails of each rate and the expected surprise: many times the work */
export function compare(ticket: Ticket, weighing: Weighing, deep: boolean): Comparison {
  const result: Comparison = {
    differences: [],
    worst: { chance: 0, log: 0, mean: 0, bits: 0, decibans: 0, quantile: 0 },
    figures: 0,
  };
  const note: Note = (where, engine, oracle, kind) => {
    result.figures++;
    const none = engine === null || engine === undefined;
    if (none && !Number.isFinite(oracle)) return;
    const off = none ? Infinity : Math.abs(engine - oracle);
    if (off > result.worst[kind]) result.worst[kind] = off;
    if (!(off <= WITHIN[kind])) result.differences.push({ where, engine: engine ?? null, oracle, off });
  };
  const told = translate(ticket);
  const exposures = exposuresIn(told.world, told.last, minutesOf(told.world));
  const table = weighWithProbe(told.model, told.steps, exposures, settled(told.model.maxCauses));
  compareWhole(told, table, exposures, weighing, note);
  told.passages.forEach((passage, k) => compareEntry(told, table, passage, weighing.entries[k], note, deep));
  if (deep) compareTails(told, table, weighing, note);
  if (deep && weighing.next) compareAdvice(told, table, weighing.next, note);
  return result;
}

function compareWhole(
  told: Translation,
  table: Table,
  exposures: number[],
  weighing: Weighing,
  note: Note,
): void {
  const { model, steps, world, last } = told;
  const now = snapshot(table, steps.length, exposures);
  const prior = snapshot(table, 0, exposures);
  note("truncated", weighing.truncated, truncated(model), "chance");
  note("log evidence", weighing.logEvidence, logEvidence(table, steps.length), "log");
  note("evidence in bits", weighing.evidenceBits, logEvidence(table, steps.length) / Math.LN2, "log");
  note("number of causes", weighing.causes.length, told.causes.length, "chance");
  compareSnapshot("now", now, { ...weighing, none: weighing.none.p, unlisted: weighing.unlisted.p }, note);
  const next = predictive(table, setupKey(world, last, minutesOf(world)));
  next.forEach((p, o) => note(`predictive ${o}`, weighing.predictive[o]?.p, p, "chance"));
  const means = rateMeans(table);
  told.causes.forEach((cause, i) => {
    const view = weighing.causes.find((x) => x.id === cause.id);
    const at = (name: string) => `${cause.id} ${name}`;
    note(at("exposure"), view?.exposure, exposures[i]!, "chance");
    note(at("prior"), view?.prior, prior.present[i]!, "chance");
    note(at("present"), view?.present.p, now.present[i]!, "chance");
    note(at("at work"), view?.atWork.p, now.atWork[i]!, "chance");
    note(at("if used"), view?.ifUsed, isFitted(world, last, cause) ? NaN : now.active[i]!, "chance");
    if (now.present[i]! > EDGE) note(at("rate"), view?.rate?.mean, means[i]!, "mean");
    if (now.present[i]! > EDGE && now.present[i]! < 1 - EDGE)
      note(
        at("decibans"),
        view?.decibans,
        10 * Math.log10(now.present[i]! / (1 - now.present[i]!)),
        "decibans",
      );
  });
  for (const set of weighing.sets) {
    if (set.causes.join() === "unlisted") continue;
    const wanted = set.causes.join() === "none" ? "" : [...set.causes].sort().join();
    const own = now.sets.find(
      (x) =>
        x.causes
          .map((i) => told.causes[i]!.id)
          .sort()
          .join() === wanted,
    );
    note(`set ${set.causes.join(" + ")}`, set.p, own?.p ?? NaN, "chance");
  }
}

type Told = Pick<EntryView, "none" | "unlisted" | "nothingAtWork">;

function compareSnapshot(where: string, own: Snapshot, view: Told, note: Note): void {
  note(`${where}: nothing wrong`, view.none, own.none, "chance");
  note(`${where}: unlisted`, view.unlisted, own.unlisted, "chance");
  note(`${where}: nothing at work`, view.nothingAtWork, own.nothingAtWork, "chance");
}

function compareEntry(
  told: Translation,
  table: Table,
  passage: Passage,
  view: EntryView | undefined,
  note: Note,
  deep: boolean,
): void {
  const { from, to, entry, after } = passage;
  const at = (name: string) => `entry ${entry.id} (${entry.kind}): ${name}`;
  const before = snapshot(table, from, []);
  const now = snapshot(table, to, exposuresIn(told.world, after, minutesOf(told.world)));
  const evidence = logEvidence(table, to) - logEvidence(table, from);
  if (!view) return note(at("view"), null, 0, "chance");
  note(at("log evidence"), view.logEvidence, evidence, "log");
  note(at("surprise"), view.surprise, -evidence / Math.LN2, "bits");
  compareSnapshot(at("after"), now, view, note);
  told.causes.forEach((cause, i) => {
    note(at(`present ${cause.id}`), view.present[cause.id], now.present[i]!, "chance");
    note(at(`at work ${cause.id}`), view.atWork[cause.id], now.atWork[i]!, "chance");
    if (inside(before.present[i]!) && inside(now.present[i]!))
      note(
        at(`ledger ${cause.id}`),
        view.ledger[cause.id],
        decibans(table, from, to, (f) => f !== "unlisted" && f.includes(i)),
        "decibans",
      );
  });
  if (inside(before.none) && inside(now.none))
    note(
      at("ledger nothing wrong"),
      view.ledgerNone,
      decibans(table, from, to, (f) => f !== "unlisted" && f.length === 0),
      "decibans",
    );
  if (inside(before.unlisted) && inside(now.unlisted))
    note(
      at("ledger unlisted"),
      view.ledgerUnlisted,
      decibans(table, from, to, (f) => f === "unlisted"),
      "decibans",
    );
  if (deep) {
    const expected = expectedSurprise(told, passage);
    if (expected !== null) note(at("expected surprise"), view.expected, expected, "bits");
  }
}

const inside = (p: number) => p > EDGE && p < 1 - EDGE;

/** The entropy of what the entry could have said; null where the oracle does not work it out. */
function expectedSurprise(
  { model, steps, world }: Translation,
  { entry, from, to, before }: Passage,
): number | null {
  const past = steps.slice(0, from);
  if (entry.kind === "change" || entry.kind === "repair") return 0;
  if (entry.kind === "reading")
    return readingEntropy(weighDense(model, past), steps[from] as DenseStep & { kind: "reading" });
  if (entry.kind === "finding") {
    const finding = (world.catalog.findings ?? []).find((f) => f.id === entry.finding)!;
    return to === from
      ? 0
      : findingEntropy(weighDense(model, past), findingAsked(world, before, finding, entry.on));
  }
  if (entry.kind !== "starts") return null;
  if (entry.by === "owner") return NaN;
  const trials = entry.trials.filter((x) => x.voided === undefined);
  const n = trials.reduce((sum, x) => sum + (x.n ?? 1), 0);
  if (n > 3 || entry.trust !== undefined) return null;
  const minutes = minutesOf(world, entry.conditions);
  return sequenceEntropy(
    model,
    past,
    exposuresIn(world, before, minutes),
    setupKey(world, before, minutes),
    n,
  );
}

/** The quoted 5 % and 95 % points of each rate must cut off what they say, and the hard share must be the oracle's. */
function compareTails(
  { model, steps, causes }: Translation,
  table: Table,
  weighing: Weighing,
  note: Note,
): void {
  const now = snapshot(table, steps.length, []);
  const likeliest = causes.map((_, i) => i).sort((i, j) => now.present[j]! - now.present[i]!);
  const worked = likeliest
    .filter((i) => !("fixed" in model.causes[i]!) && now.present[i]! > EDGE)
    .slice(0, MOST_TAILS);
  for (const i of worked) {
    const cause = causes[i]!;
    const own = model.causes[i]!;
    const rate = weighing.causes.find((x) => x.id === cause.id)?.rate;
    if (!rate || "fixed" in own) return note(`${cause.id} rate`, null, 0, "chance");
    const hard = own.hard > 0 ? rateShare(table, i, "hard") : 0;
    note(`${cause.id} hard share`, rate.hard, hard, "chance");
    for (const [name, point, tail] of [
      ["5 % point", rate.low, 0.05],
      ["95 % point", rate.high, 0.95],
    ] as const) {
      if (1 - hard < tail) note(`${cause.id} ${name}`, point, 1, "quantile");
      else note(`${cause.id} mass below its ${name}`, tail, rateShare(table, i, { upTo: point }), "quantile");
    }
  }
}
