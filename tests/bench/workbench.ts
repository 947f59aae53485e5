/**
 * A machine made to measure: C causes over removable parts, a record of T starts, a spare for every part.
 * Invented; exposures nominal, eight outcomes, one setting.
 */
import { parseCatalog, parseTicket } from "../../engine/weigh.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";

const STAGES = 7;
const CAUSES_A_PART = 4;

export interface Bench {
  catalog: Catalog;
  ticket: Ticket;
}

export function workbench(causes: number, starts: number, maxCauses: number): Bench {
  const parts = Math.ceil(causes / CAUSES_A_PART);
  const stages = Array.from({ length: STAGES }, (_, s) => ({ id: `s${s}`, name: `stage ${s}` }));
  const catalog = {
    format: "fitful/catalog@1",
    id: "bench",
    version: "1",
    name: "bench",
    stages,
    leak: {
      chance: 0.002,
      signature: Object.fromEntries(stages.map((s) => [s.id, s.id === "s0" ? 1 - 0.1 * (STAGES - 1) : 0.1])),
    },
    nothingWrong: 0.1,
    unlisted: 0.05,
    parts: Array.from({ length: parts }, (_, k) => ({
      id: `k${k}`,
      name: `kind ${k}`,
      insert: 1 + (k % 5),
      remove: 1,
    })),
    positions: Array.from({ length: parts }, (_, k) => ({
      id: `p${k}`,
      name: `place ${k}`,
      kind: `place${k}`,
      accepts: `k${k}`,
    })),
    trialMinutes: 1.5,
    causes: Array.from({ length: causes }, (_, i) => ({
      id: `c${i}`,
      name: `cause ${i}`,
      group: "part",
      per: { part: `k${Math.floor(i / CAUSES_A_PART)}` },
      rate: 0.01 + 0.01 * (i % 7),
      intermittency: [
        { hard: 0.1, a: 0.5, b: 2 },
        { hard: 0.05, a: 1, b: 1 },
        { hard: 0, a: 2, b: 8 },
      ][i % 3],
      signature: signature(i),
    })),
    findings: Array.from({ length: 30 }, (_, k) => ({
      id: `f${k}`,
      name: `look ${k}`,
      on: "machine",
      values: [
        { id: "seen", name: "seen" },
        { id: "nothing", name: "nothing" },
      ],
      base: { seen: 0.05 },
      causes: { [`c${(k * 5) % causes}`]: { seen: 0.5 }, [`c${(k * 5 + 1) % causes}`]: { seen: 0.3 } },
      minutes: 3,
    })),
  };
  const ticket = {
    format: "fitful/ticket@1",
    id: "bench",
    title: "bench",
    catalog: "bench",
    machine: {
      ageYears: 5,
      parts: Array.from({ length: parts }, (_, k) => [
        { id: `m${k}`, kind: `k${k}`, position: `p${k}` },
        { id: `x${k}`, kind: `k${k}`, spare: true },
      ]).flat(),
    },
    options: { maxCauses },
    entries: record(starts, parts),
  };
  return { catalog: unwrap(parseCatalog(catalog)).catalog, ticket: unwrap(parseTicket(ticket)).ticket };
}

function signature(i: number): Record<string, number> {
  const s = i % STAGES;
  return s === STAGES - 1 ? { [`s${s}`]: 1 } : { [`s${s}`]: 0.8, [`s${s + 1}`]: 0.2 };
}

/** Starts in fours, a stop in every fourth start as one cause would make them, parts taken out and put back between. */
function record(starts: number, parts: number): Entry[] {
  const entries: Entry[] = [];
  for (let k = 0; k * 4 < starts; k++) {
    const position = `p${(k >> 1) % parts}`;
    if (k > 0)
      entries.push({
        kind: "change",
        id: `m${k}`,
        fit: { [position]: k % 2 ? null : `m${(k >> 1) % parts}` },
      });
    entries.push({
      kind: "starts",
      id: `s${k}`,
      trials: [
        { outcome: "clean", n: 3 },
        { outcome: k % 4 === 3 ? "s2" : "s1", n: 1 },
      ],
    });
  }
  return entries;
}

export function unwrap<T extends object>(parsed: T): Exclude<T, { issues: unknown }> {
  if ("issues" in parsed) throw new Error(JSON.stringify((parsed as { issues: unknown }).issues, null, 1));
  return parsed as Exclude<T, { issues: unknown }>;
}
