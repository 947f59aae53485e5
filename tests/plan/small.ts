/** A small machine with a carrier, a shelf and a donor, and a record begun on it: for cases worked by hand. Invented. */
import type { Catalog, CauseTemplate } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";

/** What a template may leave unsaid here. */
export const template = (id: string, more: Partial<CauseTemplate> = {}): CauseTemplate => ({
  id,
  name: id,
  group: "part",
  per: "machine",
  rate: 0.04,
  intermittency: { fixed: 0.5 },
  signature: { dead: 1 },
  ...more,
});

const named = (...ids: string[]) => ids.map((id) => ({ id, name: id }));

/** A tray holds the board; the board carries a socket and two slots; the processor in the socket carries its cooler. */
export const catalog: Catalog = {
  format: "fitful/catalog@1",
  id: "kiosk",
  version: "1",
  name: "Kiosk",
  stages: named("dead", "memory"),
  leak: { chance: 0, signature: { dead: 1 } },
  nothingWrong: 0.1,
  unlisted: 0.1,
  events: [{ id: "moved", name: "moved", windowYears: 0.5 }],
  parts: [
    { id: "board", name: "board", insert: 40, remove: 20, price: 120 },
    { id: "processor", name: "processor", insert: 8, remove: 5 },
    { id: "cooler", name: "cooler", insert: 4, remove: 3 },
    { id: "module", name: "module", insert: 1, remove: 0.5, needsOne: true },
    { id: "supply", name: "supply", insert: 10, remove: 6 },
  ],
  positions: [
    { id: "tray", name: "tray", kind: "tray", accepts: "board", needed: true },
    { id: "socket", name: "socket", kind: "socket", accepts: "processor", on: "board", needed: true },
    { id: "crown", name: "crown", kind: "crown", accepts: "cooler", on: "processor", needed: true },
    { id: "A1", name: "slot A1", kind: "slot", accepts: "module", on: "board" },
    { id: "A2", name: "slot A2", kind: "slot", accepts: "module", on: "board" },
    { id: "bay", name: "bay", kind: "bay", accepts: "supply", needed: true },
  ],
  settings: [
    { id: "speed", name: "speed", values: named("rated", "standard"), default: "rated", minutes: 3 },
    {
      id: "outlet",
      name: "outlet",
      values: named("strip", "wall"),
      default: "strip",
      minutes: 1,
      touches: ["cord"],
    },
  ],
  conditions: [
    {
      id: "rest",
      name: "rest",
      default: "warm",
      classes: [
        { id: "warm", name: "warm", from: 0, typical: 5 },
        { id: "cold", name: "cold", from: 60, typical: 240, wait: 30 },
      ],
    },
    {
      id: "load",
      name: "load",
      default: "none",
      classes: [
        { id: "none", name: "none", from: 0, typical: 0 },
        { id: "soak", name: "soak", from: 10, typical: 60, wait: 15 },
      ],
    },
  ],
  trialMinutes: 2,
  labourPerHour: 60, // money and minutes are worth the same
  causes: [
    template("tired-module", { per: { part: "module" }, signature: { memory: 1 } }),
    template("edge", { per: { part: "module" }, contact: true, reseat: 0.8, signature: { memory: 1 } }),
    template("slot-contact", {
      per: { position: "slot" },
      contact: true,
      reseat: 0.5,
      signature: { memory: 1 },
    }),
    template("weak-supply", { per: { part: "supply" }, spare: 0.02 }),
    template("cord", { contact: true, reseat: 0.9 }),
  ],
  findings: [
    {
      id: "dust",
      name: "dust in the slot",
      on: { position: "slot" },
      values: named("dusty", "clean"),
      base: { dusty: 0.1 },
      causes: { "slot-contact": { dusty: 0.6 } },
      minutes: 3,
    },
    {
      id: "smell",
      name: "a smell",
      on: "machine",
      values: named("burnt", "none"),
      base: { burnt: 0.05 },
      causes: { "weak-supply": { burnt: 0.5 } },
      minutes: 1,
    },
  ],
  readings: [
    {
      id: "rail",
      name: "the 5 V rail",
      on: { part: "supply" },
      unit: "V",
      range: [0, 20],
      band: { low: 4.75, high: 5.25 },
      healthy: { mean: 5, sd: 0.05 },
      causes: { "weak-supply": { mean: 4.6, sd: 0.1, chance: 0.5 } },
      minutes: 4,
    },
  ],
  repairs: [
    {
      id: "brush",
      name: "brush the slot",
      on: { position: "slot" },
      clears: { "slot-contact": 0.9 },
      minutes: 6,
    },
    {
      id: "load-firmware",
      name: "load firmware",
      on: "machine",
      clears: {},
      sets: { speed: "standard" },
      minutes: 10,
    },
  ],
};

/** Two modules and their like on one board; on the shelf a module, a supply believed good and a board to be bought. */
export const ticket = (entries: Entry[] = [], more: Partial<Ticket> = {}): Ticket => ({
  format: "fitful/ticket@1",
  id: "t",
  title: "Kiosk of the pier",
  catalog,
  machine: {
    ageYears: 3,
    parts: [
      { id: "b1", kind: "board", position: "tray" },
      { id: "p1", kind: "processor", position: "socket" },
      { id: "c1", kind: "cooler", position: "crown" },
      { id: "m1", kind: "module", position: "A1" },
      { id: "m2", kind: "module", position: "A2" },
      { id: "s1", kind: "supply", position: "bay" },
      { id: "m3", kind: "module" },
      { id: "s2", kind: "supply", spare: true },
      { id: "b2", kind: "board", atHand: false, price: 90 },
    ],
    donors: [{ id: "d1", parts: [{ kind: "module", position: "A1" }] }],
  },
  options: { maxCauses: 1, draws: 0 },
  entries,
  ...more,
});
