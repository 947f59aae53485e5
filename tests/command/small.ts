/** The smallest catalog and ticket that have one of everything. Invented. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";

export const catalog: Catalog = {
  format: "fitful/catalog@1",
  id: "lamp-box",
  version: "1",
  name: "Lamp box",
  stages: [
    { id: "dead", name: "Nothing at all" },
    { id: "memory", name: "Stops at the memory check" },
  ],
  leak: { chance: 0.004, signature: { dead: 0.5, memory: 0.5 } },
  nothingWrong: 0.08,
  unlisted: 0.04,
  parts: [
    { id: "module", name: "Module", insert: 1, remove: 0.5 },
    { id: "supply", name: "Supply", insert: 8, remove: 6 },
  ],
  positions: [
    { id: "A1", name: "slot A1", kind: "slot", accepts: "module" },
    { id: "A2", name: "slot A2", kind: "slot", accepts: "module" },
    { id: "bay", name: "supply bay", kind: "bay", accepts: "supply", needed: true },
  ],
  settings: [
    {
      id: "speed",
      name: "Memory speed",
      values: [
        { id: "rated", name: "rated" },
        { id: "standard", name: "standard" },
      ],
      default: "rated",
      minutes: 3,
    },
  ],
  trialMinutes: 1.5,
  labourPerHour: 40,
  causes: [
    {
      id: "tired-module",
      name: "Tired module",
      group: "part",
      per: { part: "module" },
      rate: 0.05,
      intermittency: { hard: 0.3, a: 0.8, b: 1.5 },
      signature: { memory: 1 },
    },
    {
      id: "weak-supply",
      name: "Weak supply",
      group: "supply",
      per: { part: "supply" },
      rate: 0.04,
      spare: 0.02,
      intermittency: { hard: 0.2, a: 0.8, b: 1.5 },
      signature: { dead: 0.9, memory: 0.1 },
    },
  ],
  findings: [
    {
      id: "look",
      name: "A look inside",
      on: "machine",
      values: [
        { id: "scorch", name: "scorch marks" },
        { id: "nothing", name: "nothing to see" },
      ],
      base: { scorch: 0.01 },
      causes: { "weak-supply": { scorch: 0.1 } },
      minutes: 4,
    },
  ],
  readings: [
    {
      id: "five",
      name: "+5 V standby",
      on: { part: "supply" },
      unit: "V",
      range: [0, 20],
      healthy: { mean: 5.05, sd: 0.05 },
      causes: { "weak-supply": { mean: 4.8, sd: 0.15, chance: 0.5 } },
      minutes: 5,
    },
  ],
  repairs: [
    {
      id: "reseat",
      name: "Reseat the module",
      on: { part: "module" },
      clears: { "tired-module": 0 },
      minutes: 2,
    },
  ],
};

/** A ticket on that catalog, with `changes` laid over it. */
export function ticket(changes: Partial<Ticket> = {}): Ticket {
  return {
    format: "fitful/ticket@1",
    id: "t1",
    title: "Lamp box of the lighthouse",
    catalog,
    machine: {
      ageYears: 5,
      parts: [
        { id: "m1", kind: "module", position: "A1" },
        { id: "s1", kind: "supply", position: "bay" },
        { id: "s2", kind: "supply", spare: true },
      ],
    },
    options: { draws: 20 },
    entries: [
      { kind: "intake", id: "e1", complaint: "sometimes nothing at all" },
      {
        kind: "starts",
        id: "e2",
        trials: [
          { outcome: "dead", n: 2 },
          { outcome: "clean", n: 3 },
        ],
      },
      { kind: "reading", id: "e3", reading: "five", on: "s1", value: 4.82 },
    ],
    ...changes,
  };
}
