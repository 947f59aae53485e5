/**
 * Random small tickets in the project's file formats, each with a catalog of its own, for laws and for the slow oracle.
 *
 * One kind of machine (a board with two slots, a supply in a bay), of which every ticket keeps a random part: which
 * causes are listed, how they show, what is on the shelf, what was done. Small enough that the oracle can write out
 * every set and every rate.
 */
import fc from "fast-check";
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import type { Entry, Part, Ticket, Trial } from "../../engine/ticket/schema.js";

type Draw = <T>(arbitrary: fc.Arbitrary<T>) => T;

const chances = (draw: Draw) => ({
  yes: (percent: number) => draw(fc.integer({ min: 0, max: 99 })) >= 100 - percent,
  one: <T>(...from: T[]): T => draw(fc.constantFrom(...from)),
  some: <T>(from: T[], least: number, most: number): T[] =>
    draw(
      fc.subarray(from, { minLength: Math.min(least, from.length), maxLength: Math.min(most, from.length) }),
    ),
});

const STAGES = ["dark", "check", "picture", "freeze"];

function catalog(draw: Draw): { catalog: Catalog; donors: boolean } {
  const { yes, one, some } = chances(draw);
  const stages = STAGES.slice(0, one(2, 3, 4));
  const split = (): Record<string, number> => {
    const at = some(stages, 1, 3);
    const weights = at.map(() => one(1, 2, 5));
    const sum = weights.reduce((a, b) => a + b, 0);
    return Object.fromEntries(at.map((s, k) => [s, weights[k]! / sum]));
  };
  const donors = yes(25);
  const exposure = (kind: "part" | "slot" | "machine"): number | string =>
    one<() => number | string>(
      () => 1,
      () => one(0.3, 0.5, 2),
      () => 'is("rest","cold") ? 1.5 : 0.3',
      () => 'is("rest","cold") ? 1 : 0.02',
      () => 'is("speed","rated") ? 1 : 0.4',
      () => "load > 0 ? 0.2 + load / 60 : 0.2",
      () => (donors ? 0.7 : 'count("module") > 1 ? 1 : 0.45'),
      () => (kind === "slot" ? 'at("slotA") ? 1 : 0.6' : kind === "part" ? 'at("slotB") ? 0.8 : 1.2' : 0.9),
    )();
  const rate = () =>
    one<() => CauseTemplate["rate"]>(
      () => 0.05,
      () => ({ value: 30, unit: "%/year" as const, knowledge: 4 }),
      () => ({ failures: 3, unitYears: 40 }),
      () => ({ value: 2000, unit: "FIT" as const }),
    )();
  const intermittency = (): CauseTemplate["intermittency"] =>
    yes(25)
      ? { fixed: one(0.2, 0.5, 0.9, 1) }
      : { hard: one(0, 0, 0.1, 0.4, 1), a: one(0.5, 1, 2, 0.7, 5), b: one(0.5, 1, 2, 6, 18) };
  const template = (
    id: string,
    per: CauseTemplate["per"],
    more: Partial<CauseTemplate> = {},
  ): CauseTemplate => ({
    id,
    name: id,
    group: "part",
    per,
    rate: rate(),
    intermittency: intermittency(),
    signature: split(),
    exposure: exposure(
      per === "machine" ? "machine" : typeof per === "object" && "position" in per ? "slot" : "part",
    ),
    ...(yes(30) ? { shape: one(0.7, 2, 3.5) } : {}),
    ...(yes(40)
      ? {
          events: {
            moved: one<NonNullable<CauseTemplate["events"]>[string]>(
              0.1,
              { value: 0.05, knowledge: 20 },
              { alpha: 2, beta: 30 },
            ),
          },
        }
      : {}),
    ...(yes(70)
      ? { spare: one<NonNullable<CauseTemplate["spare"]>>(0.03, { value: 0.02, knowledge: 50 }) }
      : {}),
    ...more,
  });
  const touch = (): Partial<CauseTemplate> => ({
    contact: true,
    group: "contact",
    ...(yes(90) ? { reseat: one(0.3, 0.8, 1) } : {}),
  });
  const pool = [
    () => template("tired-module", { part: "module" }),
    () => template("slot-contact", { position: "slot" }, touch()),
    () => template("edge", { part: "module" }, touch()),
    () => template("board-power", { part: "board" }),
    () => template("supply", { part: "supply" }),
    () => template("bay-plug", { position: "bay" }, touch()),
    () => template("cord", "machine", touch()),
    () => template("firmware", "machine", { group: "firmware" }),
  ];
  const causes = some(pool, 1, 4).map((make) => make());
  if (donors) causes.push(template("bad-donor", "donor", yes(80) ? { spare: 0.04 } : {}));
  const has = new Set(causes.map((c) => c.id));
  const listed = <T>(record: Record<string, T>) =>
    Object.fromEntries(Object.entries(record).filter(([id]) => has.has(id)));
  return {
    donors,
    catalog: {
      format: "fitful/catalog@1",
      id: "small",
      version: "1",
      name: "small",
      stages: stages.map((id) => ({ id, name: id })),
      leak: { chance: one(0, 0.002, 0.02, 0.1), signature: split() },
      nothingWrong: one(0.05, 0.3),
      unlisted: one(0.01, 0.1),
      ...(yes(30) ? { windowYears: 0.5 } : {}),
      events: [{ id: "moved", name: "moved", windowYears: 0.6 }],
      parts: ["board", "module", "supply"].map((id) => ({ id, name: id, insert: 2, remove: 1 })),
      positions: [
        { id: "tray", name: "tray", kind: "tray", accepts: "board" },
        { id: "slotA", name: "slot A", kind: "slot", accepts: "module", on: "board" },
        { id: "slotB", name: "slot B", kind: "slot", accepts: "module", on: "board" },
        { id: "bay", name: "bay", kind: "bay", accepts: "supply" },
      ],
      settings: [
        {
          id: "speed",
          name: "speed",
          values: [
            { id: "standard", name: "standard" },
            { id: "rated", name: "rated" },
          ],
          default: "standard",
          minutes: 2,
        },
        {
          id: "outlet",
          name: "outlet",
          values: [
            { id: "strip", name: "strip" },
            { id: "wall", name: "wall" },
          ],
          default: "strip",
          minutes: 1,
          touches: ["cord"].filter((x) => has.has(x)),
        },
      ],
      conditions: [
        {
          id: "rest",
          name: "rest",
          default: "warm",
          classes: [
            { id: "warm", name: "warm", from: 0, typical: 5 },
            { id: "cold", name: "cold", from: 60, typical: 240, wait: 10 },
          ],
        },
        {
          id: "load",
          name: "load",
          default: "none",
          classes: [
            { id: "none", name: "none", from: 0, typical: 0 },
            { id: "soak", name: "soak", from: 10, typical: 30, wait: 8 },
          ],
        },
      ],
      trialMinutes: 2,
      causes,
      findings: [
        {
          id: "marks",
          name: "marks",
          on: { part: "board" },
          values: ["burnt", "dusty", "none"].map((id) => ({ id, name: id })),
          base: { burnt: 0.02, dusty: 0.2 },
          causes: listed({ "board-power": { burnt: 0.5, dusty: 0.1 }, "slot-contact": { dusty: 0.4 } }),
          minutes: 4,
        },
        {
          id: "smell",
          name: "smell",
          on: "machine",
          values: ["yes", "no"].map((id) => ({ id, name: id })),
          base: { yes: 0.05 },
          causes: listed({ supply: { yes: 0.6 }, "board-power": { yes: 0.3 }, firmware: { yes: 0.01 } }),
          minutes: 1,
        },
        {
          id: "tarnish",
          name: "tarnish",
          on: { position: "slot" },
          values: ["yes", "no"].map((id) => ({ id, name: id })),
          base: { yes: 0.1 },
          causes: listed({ "slot-contact": { yes: 0.7 } }),
          minutes: 2,
        },
      ],
      readings: [
        {
          id: "rail",
          name: "rail",
          on: "machine",
          unit: "V",
          range: [0, 20],
          healthy: { mean: 5, sd: 0.06 },
          causes: listed({
            supply: { mean: 4.6, sd: 0.15, chance: 0.7 },
            "board-power": { mean: 4.8, sd: 0.1, chance: 0.4 },
          }),
          ...(yes(50) ? { slip: 0.03 } : {}),
          minutes: 5,
        },
      ],
      repairs: [
        {
          id: "clean-slot",
          name: "clean slot",
          on: { position: "slot" },
          clears: listed({ "slot-contact": 0.9 }),
          minutes: 4,
        },
        {
          id: "resolder",
          name: "resolder",
          on: { part: "board" },
          clears: listed({ "board-power": 0.5, "slot-contact": 0.2 }),
          minutes: 30,
        },
        {
          id: "load-firmware",
          name: "load firmware",
          on: "machine",
          clears: listed({ firmware: 0.95, "board-power": 0.05 }),
          sets: { speed: "standard" },
          minutes: 10,
        },
      ],
    },
  };
}

interface Bench {
  ticket: Ticket;
  fit: Record<string, string | null>;
  in: string;
  settings: Record<string, string>;
  looks: { finding: string; on?: string; value: string }[];
  /** explicit repairs since a look, by target */
  touched: boolean;
}

/** How many concrete causes the oracle can afford at each K. */
const AFFORDED = [12, 12, 7, 3];

function ticketFrom(draw: Draw): Ticket {
  const { yes, one } = chances(draw);
  const { catalog: kind, donors } = catalog(draw);
  const spares: Part[] = [];
  if (yes(35)) spares.push({ id: "m9", kind: "module", spare: true });
  if (yes(25)) spares.push({ id: "p9", kind: "supply", spare: true, ageYears: 1 });
  if (yes(35)) spares.push({ id: "b9", kind: "board", ...(yes(70) ? { spare: true } : { ageYears: 2 }) });
  const parts: Part[] = [
    { id: "b1", kind: "board", position: "tray" },
    { id: "m1", kind: "module", position: "slotA", ...(yes(40) ? { ageYears: 0.1 } : {}) },
    ...(yes(50) ? [{ id: "m2", kind: "module", position: "slotB" }] : []),
    { id: "p1", kind: "supply", position: "bay", ...(yes(30) ? { ageYears: 8 } : {}) },
    ...spares,
  ];
  const number = (c: CauseTemplate) =>
    typeof c.per === "string"
      ? 1
      : "part" in c.per
        ? parts.filter((p) => p.kind === (c.per as { part: string }).part).length
        : c.id === "slot-contact"
          ? 2 * parts.filter((p) => p.kind === "board").length
          : 1;
  const count = kind.causes.reduce((sum, c) => sum + number(c), 0);
  const wanted = one(0, 1, 1, 2, 2, 2, 2, 3);
  const maxCauses = [wanted, 2, 1].find((K) => K <= wanted && count <= AFFORDED[K]!) ?? 1;
  const bench: Bench = {
    in: "own",
    fit: Object.fromEntries(
      kind.positions.map((p) => [p.id, parts.find((x) => x.position === p.id)?.id ?? null]),
    ),
    settings: { speed: "standard", outlet: "strip" },
    looks: [],
    touched: false,
    ticket: {
      format: "fitful/ticket@1",
      id: "t",
      title: "t",
      catalog: kind,
      machine: {
        ageYears: one(0.1, 3, 6),
        parts,
        ...(yes(40) ? { events: [{ event: "moved", yearsBefore: one(0.1, 2) }] } : {}),
        ...(donors ? { donors: [{ id: "other" }] } : {}),
      },
      options: { maxCauses, draws: 0, ...(yes(25) ? { target: "root" as const } : {}) },
      entries: [],
    },
  };
  const { entries } = bench.ticket;
  if (yes(40))
    entries.push({
      ...starts(draw, bench, true),
      id: "owner",
      by: "owner",
      ...(yes(50) ? { trust: one(0.25, 0.8, 1) } : {}),
    });
  const length = draw(fc.integer({ min: 1, max: 6 }));
  for (let k = 0; k < length; k++) {
    const entry = one(starts, starts, starts, change, change, repair, look, look, read)(draw, bench);
    if (entry) entries.push({ ...entry, id: `e${k}` });
  }
  return bench.ticket;
}

function starts(draw: Draw, { ticket }: Bench, tempered = false): Extract<Entry, { kind: "starts" }> {
  const { yes, one, some } = chances(draw);
  const outcomes = [...(ticket.catalog as Catalog).stages.map((s) => s.id), "clean"];
  const soak = yes(20);
  // the oracle takes tempered sets only where they are nested
  const partly = () =>
    tempered
      ? one(outcomes.slice(0, 2), outcomes.slice(0, -1), outcomes)
      : some(outcomes, 2, outcomes.length);
  const trial = (): Trial => {
    const outcome = yes(tempered ? 30 : 15) ? partly() : yes(50) ? "clean" : one(...outcomes);
    const n = Array.isArray(outcome) ? one(1, 2) : one(1, 1, 2, 4);
    return {
      outcome,
      ...(n > 1 ? { n } : {}),
      ...(soak && outcome !== "clean" && !Array.isArray(outcome) && yes(70) ? { minute: one(4, 17) } : {}),
      ...(yes(5) ? { voided: "bumped" } : {}),
    };
  };
  const conditions = {
    ...(yes(30) ? { rest: one<string | number>("cold", 100, 20) } : {}),
    ...(soak ? { load: one<string | number>("soak", 45) } : {}),
  };
  return {
    kind: "starts",
    id: "",
    trials: Array.from({ length: one(1, 1, 2, 3) }, trial),
    ...(Object.keys(conditions).length > 0 || yes(10) ? { conditions } : {}),
  };
}

function change(draw: Draw, bench: Bench): Entry | null {
  const { yes, one } = chances(draw);
  const { ticket } = bench;
  bench.touched = true;
  if (bench.in !== "own") {
    // back to our own machine, everything where it can be told
    const fit = Object.fromEntries(Object.entries(bench.fit).filter(([position]) => position !== "tray"));
    bench.in = "own";
    return { kind: "change", id: "", in: "own", fit };
  }
  if (ticket.machine.donors && yes(40)) {
    bench.in = "other";
    return {
      kind: "change",
      id: "",
      in: "other",
      fit: one<Record<string, string>>({ slotA: "m1" }, { slotB: "m1" }, { bay: "p1" }),
    };
  }
  const fit: Record<string, string | null> = {};
  const settings: Record<string, string> = {};
  const free = (kind: string) => ticket.machine.parts.filter((p) => p.kind === kind);
  const boards = free("board").length > 1 ? ["tray", "tray", "tray"] : [];
  const what = one("slot", "slot", "slot", "bay", "setting", "setting", ...boards);
  if (what === "slot") {
    const place = one("slotA", "slotB");
    const part = one<string | null>(...free("module").map((p) => p.id), null);
    if (part === bench.fit[place]) settings.outlet = bench.settings.outlet === "wall" ? "strip" : "wall";
    else fit[place] = part;
  } else if (what === "bay") fit.bay = one(...free("supply").map((p) => p.id));
  else if (what === "tray") fit.tray = one(...free("board").map((p) => p.id));
  if (what === "setting" || yes(10)) settings[one("speed", "outlet")] = one("rated", "standard");
  if (settings.outlet) settings.outlet = bench.settings.outlet === "wall" ? "strip" : "wall";
  const moves = Object.entries(fit).filter(([place, part]) => bench.fit[place] !== part);
  for (const [place, part] of moves) {
    for (const [other, sits] of Object.entries(bench.fit))
      if (sits === part && part !== null && other !== place) bench.fit[other] = null;
    bench.fit[place] = part;
  }
  Object.assign(bench.settings, settings);
  if (moves.length + Object.keys(settings).length === 0) return null;
  return {
    kind: "change",
    id: "",
    ...(moves.length > 0 ? { fit: Object.fromEntries(moves) } : {}),
    ...(Object.keys(settings).length > 0 ? { settings } : {}),
  };
}

function repair(draw: Draw, bench: Bench): Entry | null {
  const { one } = chances(draw);
  if (bench.in !== "own") return null;
  bench.touched = true;
  const boards = bench.ticket.machine.parts.filter((p) => p.kind === "board").map((p) => p.id);
  const entry = one<{ repair: string; on?: string }>(
    { repair: "clean-slot", on: one("slotA", "slotB") },
    { repair: "resolder", on: one(...boards) },
    { repair: "load-firmware" },
  );
  if (entry.repair === "load-firmware") bench.settings.speed = "standard";
  return { kind: "repair", id: "", ...entry };
}

/** A finding, made at most once in a ticket, or again with the same value while nothing was touched. */
function look(draw: Draw, bench: Bench): Entry | null {
  const { yes, one } = chances(draw);
  if (bench.in !== "own") return null;
  const last = bench.looks.at(-1);
  if (last && !bench.touched && yes(40)) return { kind: "finding", id: "", ...last };
  const findings = (bench.ticket.catalog as Catalog).findings!.filter(
    (f) => !bench.looks.some((x) => x.finding === f.id),
  );
  if (findings.length === 0) return null;
  const finding = one(...findings);
  const boards = bench.ticket.machine.parts.filter((p) => p.kind === "board").map((p) => p.id);
  const on =
    finding.on === "machine" ? {} : { on: "part" in finding.on ? one(...boards) : one("slotA", "slotB") };
  const made = { finding: finding.id, ...on, value: one(...finding.values.map((v) => v.id)) };
  bench.looks.push(made);
  bench.touched = false;
  return { kind: "finding", id: "", ...made };
}

function read(draw: Draw, bench: Bench): Entry | null {
  const { one } = chances(draw);
  if (bench.in !== "own") return null;
  return { kind: "reading", id: "", reading: "rail", value: one(5.02, 4.9, 4.75, 4.55, 9) };
}

/** A random valid ticket with its catalog inside. */
export const smallTicket: fc.Arbitrary<Ticket> = fc
  .gen()
  .map((gen) => ticketFrom((arbitrary) => gen(() => arbitrary)));
