/** A catalog, a ticket and a weighing as small as the pages allow; every figure is invented. */
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { CauseView, EntryView, FinishView, TestView, Weighing } from "../../engine/weighing.js";

const flat = { hard: 0.5, a: 1, b: 1 };

export const catalog: Catalog = {
  format: "fitful/catalog@1",
  id: "small",
  version: "1",
  name: "Small machine",
  stages: [
    { id: "dead", name: "Nothing at all", short: "nothing" },
    { id: "memory", name: "Stops at the memory check", short: "memory" },
  ],
  leak: { chance: 0.01, signature: { dead: 0.5, memory: 0.5 } },
  nothingWrong: 0.1,
  unlisted: 0.05,
  trialMinutes: 1,
  events: [{ id: "moved", name: "It was moved", windowYears: 0.25 }],
  parts: [
    { id: "module", name: "Module", insert: 1, remove: 1 },
    { id: "supply", name: "Supply", insert: 8, remove: 8 },
  ],
  positions: [
    { id: "A1", name: "Slot A1", kind: "slot", accepts: "module" },
    { id: "A2", name: "Slot A2", kind: "slot", accepts: "module" },
    { id: "bay", name: "Bay", kind: "bay", accepts: "supply" },
  ],
  settings: [
    {
      id: "speed",
      name: "Speed",
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
      name: "Rest",
      default: "warm",
      classes: [
        { id: "warm", name: "Warm", from: 0, typical: 2 },
        { id: "cold", name: "Cold", from: 30, typical: 60 },
      ],
    },
  ],
  causes: [
    {
      id: "cells",
      name: "Weak cells",
      group: "part",
      per: { part: "module" },
      rate: 0.02,
      intermittency: flat,
      signature: { memory: 1 },
    },
  ],
  machine: { parts: [{ id: "m1", kind: "module", position: "A1" }] },
};

export const ticket: Ticket = {
  format: "fitful/ticket@1",
  id: "t1",
  title: "Front desk",
  catalog: "small",
  machine: {
    ageYears: 4,
    parts: [
      { id: "m1", kind: "module", name: "Module 1", position: "A1" },
      { id: "m2", kind: "module", name: "Module 2", position: "A2" },
      { id: "m3", kind: "module", name: "Spare module", spare: true },
    ],
  },
  entries: [{ kind: "intake", id: "e1", complaint: "dead some mornings", minutes: 5 }],
};

export const cause = (id: string, group: string, p: number, atWork = p): CauseView => ({
  id,
  name: `Cause ${id}`,
  template: id,
  group,
  parts: ["m1"],
  position: null,
  exposure: 1,
  prior: 0.1,
  present: { p, low: p / 2, high: Math.min(1, 2 * p) },
  atWork: { p: atWork, low: null, high: null },
  ifUsed: null,
  rate: {
    mean: 0.3,
    low: 0.1,
    high: 0.6,
    hard: 0.1,
    density: [0.3, 0.4, 0.2, 0],
    densityBefore: [0.2, 0.1, 0.5, 0.1],
  },
  decibans: 0,
});

export const entry = (
  id: string,
  present: Record<string, number>,
  ledger: Record<string, number | null> = {},
): EntryView => ({
  id,
  kind: "starts",
  logEvidence: -1,
  surprise: 1.4,
  expected: 1.5,
  expectedError: null,
  ledger,
  ledgerNone: -4,
  ledgerUnlisted: 0.2,
  atWork: present,
  present,
  none: 0.05,
  unlisted: 0.04,
  nothingAtWork: 0.06,
});

export const weighing: Weighing = {
  format: "fitful/weighing@1",
  ticket: { id: "t1", title: "Front desk" },
  catalog: { id: "small", version: "1", name: "Small machine" },
  maxCauses: 2,
  truncated: 0.001,
  setup: { in: "own", fit: {}, settings: {}, conditions: {} },
  causes: [cause("a", "supply", 0.6, 0), cause("b", "part", 0.3), cause("c", "heat", 0.02)],
  none: { p: 0.05, low: 0.02, high: 0.09 },
  unlisted: { p: 0.04, low: 0.01, high: 0.08 },
  nothingAtWork: 0.5,
  sets: [],
  logEvidence: -2,
  evidenceBits: -2.9,
  predictive: [],
  entries: [
    entry("e1", { a: 0.2, b: 0.2, c: 0.1 }),
    entry("e2", { a: 0.6, b: 0.3, c: 0.02 }, { a: 8, b: -0.4, c: -12 }),
  ],
  notLookedAt: [],
  warnings: [],
  next: null,
  release: null,
  sensitivity: null,
};

export const aTest: TestView = {
  id: "t1",
  kind: "starts",
  title: "Fit the spare module and start it cold",
  steps: [],
  change: { fit: { A1: "m3" } },
  repair: null,
  conditions: { rest: "cold" },
  finding: null,
  reading: null,
  n: 2,
  minutes: 6,
  money: 0,
  minutesWithMoney: 6,
  bits: 0.5,
  bitsError: 0,
  stopEarly: false,
  atLeast: false,
  bitsPerMinute: 0.08,
  answers: [],
  cautions: [],
  whyNot: null,
  sizes: [],
};

export const finish: FinishView = {
  advice: { kind: "test", title: aTest.title, test: aTest.id, n: 2, cost: 40 },
  runnerUp: { kind: "return", title: "Give it back unrepaired.", test: null, n: 0, cost: 350 },
  margin: 310,
  asGood: false,
  options: [],
  repairs: [],
  proof: 4,
  prices: { minute: 0.8, comeback: 90, giveBack: 350 },
};
