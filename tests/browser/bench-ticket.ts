/** A ticket that carries its own small catalog, so that a page answers at once. Machine, figures and words are invented. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import type { Draft } from "../../explorer/bench/ticket-edits.js";

const comesAndGoes = { hard: 0.1, a: 1, b: 2 };

export const catalog: Catalog = {
  format: "fitful/catalog@1",
  id: "harbour-lamp",
  version: "1",
  name: "Harbour lamp controller",
  stages: [
    { id: "dead", name: "Nothing at all", short: "nothing" },
    { id: "memory", name: "Stops at the memory check", short: "memory" },
    { id: "load", name: "Freezes in use", short: "freezes" },
  ],
  leak: { chance: 0.01, signature: { dead: 0.4, memory: 0.4, load: 0.2 } },
  nothingWrong: 0.1,
  unlisted: 0.05,
  trialMinutes: 1,
  labourPerHour: 40,
  parts: [
    { id: "module", name: "Module", insert: 1, remove: 1, price: 30, cautions: ["static"] },
    { id: "supply", name: "Supply", insert: 8, remove: 8, price: 60, cautions: ["mains"] },
  ],
  positions: [
    { id: "A1", name: "Slot A1", kind: "slot", accepts: "module", at: { x: 60, y: 10, w: 8, h: 40 } },
    { id: "A2", name: "Slot A2", kind: "slot", accepts: "module", at: { x: 75, y: 10, w: 8, h: 40 } },
    {
      id: "bay",
      name: "Supply bay",
      kind: "bay",
      accepts: "supply",
      needed: true,
      at: { x: 5, y: 60, w: 40, h: 20 },
    },
  ],
  settings: [
    {
      id: "speed",
      name: "Memory speed",
      default: "standard",
      minutes: 3,
      values: [
        { id: "standard", name: "Standard" },
        { id: "rated", name: "Rated" },
      ],
    },
  ],
  conditions: [
    {
      id: "rest",
      name: "Before the start",
      default: "warm",
      classes: [
        { id: "warm", name: "Warm", from: 0, typical: 2 },
        { id: "cold", name: "Cold", from: 30, typical: 60 },
      ],
    },
    {
      id: "load",
      name: "Run under load",
      default: "none",
      classes: [
        { id: "none", name: "no load", from: 0, typical: 0 },
        { id: "hour", name: "under load", from: 10, typical: 60 },
      ],
    },
  ],
  causes: [
    {
      id: "cells",
      name: "Memory cells weak",
      group: "part",
      per: { part: "module" },
      rate: { value: 3, unit: "%/year", knowledge: 2 },
      spare: { value: 0.02, knowledge: 50 },
      intermittency: comesAndGoes,
      signature: { memory: 0.8, load: 0.2 },
    },
    {
      id: "standby",
      name: "Standby rail weak when cold",
      group: "supply",
      per: { part: "supply" },
      rate: { value: 2, unit: "%/year", knowledge: 2 },
      spare: { value: 0.01, knowledge: 50 },
      intermittency: comesAndGoes,
      signature: { dead: 1 },
      exposure: 'is("rest", "cold") ? 1 : 0.1',
    },
  ],
  findings: [
    {
      id: "smell",
      name: "Smell",
      ask: "Does it smell burnt?",
      on: "machine",
      values: [
        { id: "burnt", name: "It smells burnt" },
        { id: "none", name: "No smell" },
      ],
      base: { burnt: 0.01 },
      causes: { standby: { burnt: 0.3 } },
      minutes: 1,
    },
  ],
  readings: [
    {
      id: "standby-volts",
      name: "Standby rail",
      on: { part: "supply" },
      unit: "V",
      range: [0, 20],
      band: { low: 4.75, high: 5.25, source: "invented" },
      healthy: { mean: 5.05, sd: 0.05 },
      causes: { standby: { mean: 4.7, sd: 0.15, chance: 0.7 } },
      minutes: 5,
      cautions: ["mains"],
    },
  ],
  repairs: [
    {
      id: "new-supply-plug",
      name: "New plug on the supply",
      on: { part: "supply" },
      clears: { standby: 0.3 },
      minutes: 15,
      cost: 4,
      cautions: ["mains"],
    },
  ],
  cautions: [
    { id: "mains", text: "Unplug before working inside.", danger: true },
    { id: "static", text: "Touch the earthed case first." },
  ],
};

const at = (minute: number) => new Date(Date.UTC(2030, 2, 4, 8, minute)).toISOString();

export const ticket: Ticket = {
  format: "fitful/ticket@1",
  id: "lamp",
  title: "Lamp controller",
  owner: "Skerry Light Trust",
  catalog,
  machine: {
    ageYears: 6,
    parts: [
      { id: "m1", kind: "module", name: "Module 1", position: "A1" },
      { id: "m2", kind: "module", name: "Module 2", position: "A2" },
      { id: "s1", kind: "supply", name: "Own supply", position: "bay" },
      { id: "s2", kind: "supply", name: "Spare supply", spare: true },
    ],
  },
  options: { draws: 0, maxCauses: 1 },
  entries: [{ kind: "intake", id: "e1", at: at(0), complaint: "Dark some mornings.", minutes: 5 }],
};

/** The same ticket with these entries after its intake; ids and times are given in order. */
export const ticketWith = (...entries: Draft[]): Ticket => ({
  ...ticket,
  entries: [
    ...ticket.entries,
    ...entries.map((entry, i) => ({ at: at(i + 1), ...entry, id: `e${i + 2}` }) as Entry),
  ],
});
