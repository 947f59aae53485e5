/** The plainest catalog and ticket there can be: named causes with given chances, for cases worked by hand. */
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";

export interface SimpleCause {
  id: string;
  /** prior chance */
  p: number;
  rate: CauseTemplate["intermittency"];
  exposure?: number | string;
  /** tied to a part of its own, fitted from the start in a position of the cause's name; else to the machine */
  part?: boolean;
  signature?: Record<string, number>;
}

export interface Simple {
  causes: SimpleCause[];
  entries?: Entry[];
  nothing?: number;
  unlisted?: number;
  leak?: number;
  maxCauses?: number;
  stages?: string[];
  more?: Partial<Catalog>;
  draws?: number;
}

/** A chance is stated as that of an event which happened as the complaint began: then it is used as it stands. */
export function simpleTicket(of: Simple): Ticket {
  const stages = of.stages ?? ["stop"];
  const parts = of.causes.filter((c) => c.part);
  const catalog: Catalog = {
    format: "fitful/catalog@1",
    id: "simple",
    version: "1",
    name: "simple",
    stages: stages.map((id) => ({ id, name: id })),
    leak: { chance: of.leak ?? 0, signature: { [stages[0]!]: 1 } },
    nothingWrong: of.nothing ?? 0.1,
    unlisted: of.unlisted ?? 0.05,
    events: [{ id: "began", name: "began", windowYears: 1 }],
    parts: parts.map((c) => ({ id: c.id, name: c.id, insert: 1, remove: 1 })),
    positions: parts.map((c) => ({ id: `place-${c.id}`, name: c.id, kind: `place-${c.id}`, accepts: c.id })),
    trialMinutes: 1,
    causes: of.causes.map((c) => ({
      id: c.id,
      name: c.id,
      group: "part",
      per: c.part ? { part: c.id } : "machine",
      events: { began: c.p },
      intermittency: c.rate,
      signature: c.signature ?? { [stages[0]!]: 1 },
      ...(c.exposure === undefined ? {} : { exposure: c.exposure }),
    })),
    ...of.more,
  };
  return {
    format: "fitful/ticket@1",
    id: "simple",
    title: "simple",
    catalog,
    machine: {
      ageYears: 3,
      parts: parts.map((c) => ({ id: `the-${c.id}`, kind: c.id, position: `place-${c.id}` })),
      events: [{ event: "began", yearsBefore: 0 }],
    },
    options: { maxCauses: of.maxCauses ?? 2, draws: of.draws ?? 0 },
    entries: of.entries ?? [],
  };
}

/** Id that the engine gives to the cause of a part. */
export const partCause = (id: string): string => `${id}@the-${id}`;

/** Stops and clean starts of one entry, in that order. */
export function runs(id: string, stops: number, clean: number, stage = "stop"): Entry {
  const rows = [
    { outcome: stage, n: stops },
    { outcome: "clean", n: clean },
  ].filter((x) => x.n > 0);
  return { kind: "starts", id, trials: rows };
}
