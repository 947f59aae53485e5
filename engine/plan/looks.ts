/**
 * Expected information of findings and readings, in bits, and what each answer would do.
 */
import type { Finding, Reading } from "../catalog/schema.js";
import { integrate } from "../numeric/legendre.js";
import type { Belief } from "../belief/belief.js";
import { readingEdges } from "../belief/expected.js";
import { findingTied, readingTied } from "../belief/compile.js";
import { findingChances, readingDensityGiven } from "../belief/looks.js";
import type { Model } from "../belief/model.js";
import type { Setup } from "../ticket/setup.js";
import type { Candidate } from "./candidates.js";
import { atomsByCause, massOf, type Atom, type Target } from "./atoms.js";

/** P(z) and the active causes that take part, for each value z of the target that differs in what it shows. */
interface Part {
  active: number[];
  target: number;
  mass: number;
}

/** More hypotheses than fit in memory. */
const TARGETS = 2 ** 27;

/**
 * What a look shows depends on the tied causes alone. Where the target is the active set it decides them, so one part for
 * each tied set will do; where it is the root cause, one for each root and tied set.
 */
function partsOf(atoms: readonly Atom[], tied: Uint8Array, byTarget: boolean): Part[] {
  const parts = new Map<number, Part>();
  const add = (active: number[], key: number, target: number, mass: number) => {
    const known = parts.get(key);
    if (known) known.mass += mass;
    else parts.set(key, { active, target, mass });
  };
  const apart = byTarget ? atoms.map((_, k) => k) : touching(atoms, tied);
  let mass = 0;
  for (const k of apart) {
    const { group, target } = atoms[k]!;
    const active = group.members.filter((i) => tied[i]);
    const key = active.reduce((sum, i) => sum * (tied.length + 1) + i + 1, 0);
    mass += group.mass;
    // a hypothesis of the same tied causes is another part
    if (byTarget) add(active, key * TARGETS + target, target, group.mass);
    else add(active, key, key, group.mass);
  }
  if (apart.length < atoms.length) add([], 0, 0, restOf(atoms, apart, mass));
  return [...parts.values()];
}

/** Atoms in which a tied cause is active, each once. */
function touching(atoms: readonly Atom[], tied: Uint8Array): number[] {
  const byCause = atomsByCause(atoms);
  const found = new Set<number>();
  tied.forEach((t, i) => t && byCause[i]?.forEach((k) => found.add(k)));
  return [...found];
}

/** Mass of the other atoms; by subtraction only where that loses no digits. */
function restOf(atoms: readonly Atom[], apart: readonly number[], mass: number): number {
  const total = massOf(atoms);
  if (mass < total / 2) return total - mass;
  const known = new Set(apart);
  return atoms.reduce((sum, { group }, k) => (known.has(k) ? sum : sum + group.mass), 0);
}

export type Look = Extract<Candidate, { kind: "finding" | "reading" }>;

/** Causes that take part in what a look would show; length C. */
export function tiedTo(model: Model, setup: Setup, look: Look): Uint8Array {
  const on = look.on ?? undefined;
  return look.kind === "finding"
    ? findingTied(model, setup, look.finding, on)
    : readingTied(model, setup, look.reading, on);
}

/** I(Z; look) in bits. */
export const lookInformation = (
  belief: Belief,
  atoms: readonly Atom[],
  look: Look,
  tied: Uint8Array,
  target: Target,
): number =>
  look.kind === "finding"
    ? findingInformation(belief, atoms, look.finding, tied, target)
    : readingInformation(belief, atoms, look.reading, tied, target);

export const answersTo = (belief: Belief, look: Look): LookAnswer[] =>
  look.kind === "finding" ? findingAnswers(belief, look.finding) : readingAnswers(belief, look.reading);

/** I(Z; finding) in bits. */
export function findingInformation(
  belief: Belief,
  atoms: readonly Atom[],
  finding: Finding,
  tied: Uint8Array,
  target: Target,
): number {
  const { causes } = belief.model;
  const base = findingChances(finding, []);
  const columns = partsOf(atoms, tied, target === "root").map((part) => ({
    ...part,
    chances: findingChances(
      finding,
      part.active.map((i) => causes[i]!),
    ).map((p) => part.mass * p),
  }));
  const unlisted = base.map((b) => belief.unlistedMass * (0.5 * b + 0.5 / base.length));
  return mutual([...joined(columns), { mass: belief.unlistedMass, chances: unlisted }]);
}

/** Columns of one target added together. */
function joined(columns: readonly { target: number; mass: number; chances: Float64Array }[]) {
  const byTarget = new Map<number, { mass: number; chances: Float64Array }>();
  for (const { target, mass, chances } of columns) {
    const known = byTarget.get(target);
    if (!known) byTarget.set(target, { mass, chances });
    else
      byTarget.set(target, {
        mass: known.mass + mass,
        chances: known.chances.map((p, v) => p + chances[v]!),
      });
  }
  return [...byTarget.values()];
}

function mutual(columns: readonly { mass: number; chances: Float64Array }[]): number {
  const total = new Float64Array(columns[0]!.chances.length);
  for (const { chances } of columns) chances.forEach((p, v) => (total[v] = total[v]! + p));
  let bits = 0;
  for (const { mass, chances } of columns)
    chances.forEach((p, v) => {
      if (p > 0) bits += p * Math.log2(p / (mass * total[v]!));
    });
  return Math.max(0, bits);
}

/** I(Z; reading) in bits, by integration over the instrument's range and beyond. */
export function readingInformation(
  belief: Belief,
  atoms: readonly Atom[],
  reading: Reading,
  tied: Uint8Array,
  target: Target,
): number {
  const columns = readingColumns(belief, atoms, reading, tied, target);
  const densities = new Float64Array(columns.length);
  const bits = integrate((x) => {
    let total = 0;
    for (let k = 0; k < densities.length; k++) total += densities[k] = columns[k]!.density(x);
    let sum = 0;
    for (let k = 0; k < densities.length; k++) {
      const p = densities[k]!;
      if (p > 0) sum += p * Math.log2(p / (columns[k]!.mass * total));
    }
    return sum;
  }, readingEdges(reading));
  return Math.max(0, bits);
}

function readingColumns(
  belief: Belief,
  atoms: readonly Atom[],
  reading: Reading,
  tied: Uint8Array,
  target: Target,
) {
  const { causes } = belief.model;
  const [low, high] = reading.range;
  const density = (active: readonly number[]) =>
    readingDensityGiven(
      reading,
      active.map((i) => causes[i]!),
    );
  const byTarget = new Map<
    number,
    { mass: number; parts: { mass: number; density: (x: number) => number }[] }
  >();
  for (const part of partsOf(atoms, tied, target === "root")) {
    const one = byTarget.get(part.target) ?? { mass: 0, parts: [] };
    one.mass += part.mass;
    one.parts.push({ mass: part.mass, density: density(part.active) });
    byTarget.set(part.target, one);
  }
  const healthy = density([]);
  const unlisted = (x: number) =>
    belief.unlistedMass * (0.5 * healthy(x) + (x >= low && x <= high ? 0.5 / (high - low) : 0));
  return [
    ...[...byTarget.values()].map(({ mass, parts }) => ({
      mass,
      density: (x: number) => {
        let sum = 0;
        for (const p of parts) sum += p.mass * p.density(x);
        return sum;
      },
    })),
    { mass: belief.unlistedMass, density: unlisted },
  ];
}

/** An answer of a look: its chance, and how far it multiplies the chance of each active set. */
export interface LookAnswer {
  text: string;
  outcome: string;
  /** P(answer | exactly these tied causes active) */
  given(active: readonly number[]): number;
  givenUnlisted: number;
}

export function findingAnswers(belief: Belief, finding: Finding): LookAnswer[] {
  const { causes } = belief.model;
  const base = findingChances(finding, []);
  return finding.values.map((value, v) => ({
    text: value.name,
    outcome: value.id,
    given: (active) =>
      findingChances(
        finding,
        active.map((i) => causes[i]!),
      )[v]!,
    givenUnlisted: 0.5 * base[v]! + 0.5 / base.length,
  }));
}

/** Below the band, in it, above it; without a band, the thirds of the range about the healthy reading. */
export function readingAnswers(belief: Belief, reading: Reading): LookAnswer[] {
  const { causes } = belief.model;
  const [low, high] = reading.range;
  const band = reading.band ?? healthyBand(reading);
  const edges = readingEdges(reading);
  const [least, most] = [edges[0]!, edges.at(-1)!];
  const spans = [
    { text: `under ${band.low} ${reading.unit}`, from: least, to: band.low },
    { text: `${band.low} to ${band.high} ${reading.unit}`, from: band.low, to: band.high },
    { text: `over ${band.high} ${reading.unit}`, from: band.high, to: most },
  ].filter((s) => s.to > s.from);
  return spans.map(({ text, from, to }) => {
    const inside = [from, ...edges.filter((x) => x > from && x < to), to];
    const width = Math.max(0, Math.min(to, high) - Math.max(from, low));
    const known = new Map<string, number>();
    return {
      text,
      outcome: text,
      given(active) {
        const key = active.join();
        let p = known.get(key);
        if (p === undefined) {
          const density = readingDensityGiven(
            reading,
            active.map((i) => causes[i]!),
          );
          known.set(key, (p = integrate(density, inside)));
        }
        return p;
      },
      get givenUnlisted() {
        return 0.5 * this.given([]) + (0.5 * width) / (high - low);
      },
    };
  });
}

function healthyBand(reading: Reading): { low: number; high: number } {
  const number = (f: number | { value: number }) => (typeof f === "number" ? f : f.value);
  const [mean, sd] = [number(reading.healthy.mean), number(reading.healthy.sd)];
  return { low: mean - 2 * sd, high: mean + 2 * sd };
}
