/**
 * The simulated machine: what is at work in it, and what it answers when something is done to it.
 *
 * Every answer is a function of the machine, what is done and the luck: nothing is changed in place. Starts, looks and
 * cures follow the engine's likelihoods (project model, sections 5 and 6), but are drawn the way they are told there, cause
 * by cause, and not from the engine's tables: the tests hold one against the other. In a truth with a relapse, which the
 * model does not know, touching a contact only quiets it; what does more than touching mends it for good.
 */
import { numberOf } from "../catalog/figures.js";
import type { Finding, Reading } from "../catalog/schema.js";
import { exposuresOf, type Model } from "../belief/model.js";
import {
  compileEntry,
  findingTied,
  intakePlace,
  readingTied,
  startConditions,
  type Place,
} from "../belief/compile.js";
import { findingChances, readingParts, slipOf } from "../belief/looks.js";
import { homeSetup, releaseTerms } from "../plan/home.js";
import { setupKey } from "../ticket/setup.js";
import type { EntryOf, Ticket } from "../ticket/schema.js";
import { drawDirichlet, drawIndex, drawNormal, streamOf, type Streams, type Uniform } from "./streams.js";
import type { Truth } from "./truth.js";

export interface Machine {
  truth: Truth;
  place: Place;
  /** G: those of the truth's causes that are still at work, as indexes of the truth's list */
  active: readonly number[];
  /** those that touching has quieted for a while */
  quieted: readonly number[];
  /** r of each of the truth's causes by now */
  rates: readonly number[];
}

export const deliveredMachine = (truth: Truth): Machine => ({
  truth,
  place: intakePlace(truth.model),
  active: truth.causes.map((_, k) => k),
  quieted: [],
  rates: truth.rates,
});

/** One start: index of the outcome, `clean` last. @param luck  the stream of starts; `seed` settles what is unlisted */
export function start(
  before: Machine,
  conditions: Record<string, string> | undefined,
  luck: Uniform,
  seed: number,
): { machine: Machine; outcome: number } {
  // a stream for the leak and for each cause: another one at work changes nothing for these
  const base = Math.floor(luck() * 2 ** 32);
  const machine = relapsed(before, base);
  const { truth, place, active } = machine;
  const { model } = truth;
  const minutes = startConditions(model, conditions);
  if (truth.unlisted !== null)
    return {
      machine,
      outcome: drawIndex(unlistedOutcomes(truth, place, minutes, seed), streamOf(base, "unlisted")()),
    };
  let outcome = leakOutcome(model, streamOf(base, "leak"));
  const exposure = active.length === 0 ? null : exposuresOf(model, place.setup, minutes);
  for (const k of active) {
    const i = truth.causes[k]!;
    const [shows, where] = pairOf(streamOf(base, `cause ${k}`));
    if (shows < showChance(machine.rates[k]!, exposure![i]!))
      outcome = Math.min(outcome, drawIndex(model.causes[i]!.signature, where));
  }
  return { machine: drifted(machine, streamOf(base, "drift")), outcome };
}

const pairOf = (uniform: Uniform): [number, number] => [uniform(), uniform()];

/** q = 1 − (1 − r)^e */
export const showChance = (rate: number, exposure: number): number =>
  exposure === 0 ? 0 : -Math.expm1(exposure * Math.log1p(-rate));

/** A healthy machine stops now and then, at a stage of the leak's own. */
function leakOutcome({ catalog }: Model, uniform: Uniform): number {
  const { stages, leak } = catalog;
  const [shows, where] = pairOf(uniform);
  if (!(shows < numberOf(leak.chance))) return stages.length;
  return drawIndex(
    stages.map((s) => (Object.hasOwn(leak.signature, s.id) ? leak.signature[s.id]! : 0)),
    where,
  );
}

/** Chances of the outcomes in a setup: the same wherever they are asked for. */
function unlistedOutcomes(
  truth: Truth,
  place: Place,
  minutes: Record<string, number>,
  seed: number,
): Float64Array {
  const { model } = truth;
  const key =
    truth.unlisted === "apart" ? setupKey(place.setup, minutes, place.repairs, model) : "every setup";
  const outcomes = model.outcomeIds.length;
  return drawDirichlet(1 / outcomes, outcomes, streamOf(seed, `unlisted ${key}`));
}

/** Some of what was quieted is bad again. */
function relapsed(machine: Machine, base: number): Machine {
  const { truth, quieted } = machine;
  const back = quieted.filter((k) => streamOf(base, `relapse ${k}`)() < truth.relapse);
  if (back.length === 0) return machine;
  return {
    ...machine,
    active: [...machine.active, ...back],
    quieted: quieted.filter((k) => !back.includes(k)),
  };
}

/** The rates a little later, each a step on in its logit. */
function drifted(machine: Machine, luck: Uniform): Machine {
  const { drift } = machine.truth;
  if (drift === 0) return machine;
  const rates = machine.rates.map((r) => {
    const step = drawNormal(0, drift, luck());
    return r <= 0 || r >= 1 ? r : 1 / (1 + ((1 - r) / r) * Math.exp(-step));
  });
  return { ...machine, rates };
}

/** A change or a repair: what it touches or mends leaves with its own chance. */
export function alter(
  machine: Machine,
  entry: EntryOf<"change"> | EntryOf<"repair">,
  luck: Streams,
): Machine {
  const { truth } = machine;
  const { steps, place } = compileEntry(truth.model, machine.place, entry);
  const leave = steps.find((step) => step.kind === "leave");
  const after = { ...machine, place };
  for (const k of [...machine.active, ...machine.quieted]) {
    const i = truth.causes[k]!;
    const { id, reseat } = truth.model.causes[i]!;
    const eta = leave?.efficacy[i] ?? 0;
    if (eta === 0 || luck.of(`cure ${id}`)() >= eta) continue;
    const others = (list: readonly number[]) => list.filter((j) => j !== k);
    const isTouched = truth.relapse > 0 && eta <= reseat;
    after.active = others(after.active);
    after.quieted = isTouched ? [...others(after.quieted), k] : others(after.quieted);
  }
  return after;
}

/** Index of the value that a finding shows. */
export function look(
  { truth, place, active }: Machine,
  finding: Finding,
  on: string | null,
  luck: Uniform,
): number {
  const { model } = truth;
  const u = luck();
  if (truth.unlisted !== null) {
    const base = findingChances(finding, []);
    return drawIndex(
      base.map((p) => 0.5 * p + 0.5 / base.length),
      u,
    );
  }
  const tied = findingTied(model, place.setup, finding, on ?? undefined);
  const present = active.map((k) => truth.causes[k]!).filter((i) => tied[i] === 1);
  const chances = findingChances(
    finding,
    present.map((i) => model.causes[i]!),
  );
  return drawIndex(chances, u);
}

/** What an instrument shows. */
export function read(
  { truth, place, active }: Machine,
  reading: Reading,
  on: string | null,
  luck: Uniform,
): number {
  const { model } = truth;
  const [slips, which, value] = [luck(), luck(), luck()];
  const [low, high] = reading.range;
  const anywhere = low + (high - low) * value;
  if (slips < slipOf(reading)) return anywhere;
  if (truth.unlisted !== null && which < 0.5) return anywhere;
  const tied = readingTied(model, place.setup, reading, on ?? undefined);
  const present = active.map((k) => truth.causes[k]!).filter((i) => tied[i] === 1);
  const parts = readingParts(
    reading,
    present.map((i) => model.causes[i]!),
  );
  const part =
    parts[
      drawIndex(
        parts.map((p) => p.weight),
        which,
      )
    ]!;
  return drawNormal(part.mean, part.sd, value);
}

/**
 * Chance that it stops at least once in the customer's hands, in the starts that the ticket's terms of release speak of. The
 * leak is left out, as is what may break later.
 */
export function comebackChance(
  { truth, place, active, quieted, rates }: Machine,
  ticket: Ticket,
  seed: number,
): number {
  const { model } = truth;
  const home = homeSetup(model, place, ticket.entries);
  const { use, days } = releaseTerms(model.catalog, ticket);
  let quiet = 1;
  const exposures: { perDay: number; exposure: Float64Array }[] = [];
  for (const { conditions, perDay } of use) {
    const minutes = startConditions(model, conditions);
    const there = { ...place, setup: home };
    if (truth.unlisted !== null)
      quiet *= unlistedOutcomes(truth, there, minutes, seed).at(-1)! ** (perDay * days);
    if (active.length + quieted.length === 0) continue;
    const exposure = exposuresOf(model, home, minutes);
    exposures.push({ perDay, exposure });
    for (const k of active)
      quiet *= (1 - showChance(rates[k]!, exposure[truth.causes[k]!]!)) ** (perDay * days);
  }
  for (const k of quieted) {
    const shows = exposures.map(({ perDay, exposure }) => ({
      perDay,
      chance: showChance(rates[k]!, exposure[truth.causes[k]!]!),
    }));
    quiet *= quietAfterRelapse(shows, days, truth.relapse);
  }
  return 1 - quiet;
}

/** Chance that a quieted cause stops no start: it lies still, or is bad again and has not shown. */
function quietAfterRelapse(
  shows: readonly { perDay: number; chance: number }[],
  days: number,
  relapse: number,
): number {
  let [still, bad] = [1, 0];
  for (let day = 0; day < days; day++)
    for (const { perDay, chance } of shows) {
      const starts = Math.floor((day + 1) * perDay) - Math.floor(day * perDay);
      for (let s = 0; s < starts; s++) {
        bad = (bad + still * relapse) * (1 - chance);
        still *= 1 - relapse;
      }
    }
  return still + bad;
}
