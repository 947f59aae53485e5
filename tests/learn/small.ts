/** A catalog as small as tuning allows, with two related causes, an event and a repair. Every figure is invented. */
import type { Catalog } from "../../engine/catalog/schema.js";
import { emptyTally, addTicket, type Tally } from "../../engine/learn/tally/tally.js";
import { spaceOf, type PastTicket } from "../../engine/learn/space.js";
import { startOf } from "../../engine/learn/fit/start.js";

const rate = (value: number) => ({ value, unit: "%/year" as const, knowledge: 3 });
const CAUSES = [
  { id: "slot", name: "Slot contact", group: "contact", per: "machine", rate: rate(2), intermittency: { hard: 0.05, a: 0.8, b: 1.6 }, signature: { memory: 0.9, dead: 0.1 }, events: { moved: { value: 0.05, knowledge: 20 } } },
  { id: "edge", name: "Module edge", group: "contact", per: "machine", rate: rate(1), intermittency: { hard: 0.05, a: 0.8, b: 1.6 }, signature: { memory: 1 } },
  { id: "rail", name: "Weak rail", group: "supply", per: "machine", rate: rate(1.5), intermittency: { hard: 0.2, a: 1, b: 2 }, signature: { dead: 0.9, memory: 0.1 } },
  { id: "strip", name: "Outlet strip", group: "outside", per: "machine", rate: rate(1), intermittency: { hard: 0.1, a: 0.8, b: 2 }, signature: { dead: 1 } },
] as const; // prettier-ignore

export const catalog: Catalog = {
  format: "fitful/catalog@1",
  id: "lamp-box",
  version: "1",
  name: "Lamp box",
  stages: [
    { id: "dead", name: "Nothing at all" },
    { id: "memory", name: "Stops at the memory check" },
  ],
  leak: { chance: 0.01, signature: { dead: 0.5, memory: 0.5 } },
  nothingWrong: 0.1,
  unlisted: 0.05,
  events: [{ id: "moved", name: "It was moved", windowYears: 0.25 }],
  parts: [{ id: "module", name: "Module", insert: 1, remove: 1 }],
  positions: [{ id: "A1", name: "Slot A1", kind: "slot", accepts: "module" }],
  trialMinutes: 1.5,
  causes: structuredClone(CAUSES) as unknown as Catalog["causes"],
  repairs: [
    { id: "clean", name: "Clean the contacts", on: "machine", clears: { slot: 0.8, edge: 0.7 }, minutes: 10 },
  ],
  machine: { parts: [{ id: "m1", kind: "module", position: "A1" }] },
};

export const space = spaceOf(catalog);
export const start = startOf(space);

export const past = (ticket: Partial<PastTicket>): PastTicket => ({
  cause: -1,
  onlyShown: false,
  starts: -1,
  stops: -1,
  at: [],
  events: null,
  repair: -1,
  cured: -1,
  minutes: NaN,
  closed: "",
  age: NaN,
  ...ticket,
});

export function tallyOf(tickets: readonly Partial<PastTicket>[]): Tally {
  const tally = emptyTally(space);
  for (const ticket of tickets) addTicket(tally, past(ticket), space);
  return tally;
}
