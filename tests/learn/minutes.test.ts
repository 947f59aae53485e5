/** Tickets left out, chosen and worked: the same in any order and however they are shared out. */
import { describe, expect, test } from "vitest";
import { Gathered } from "../../engine/learn/gather.js";
import { pairRows, ticketsLeftOut } from "../../engine/learn/score/minutes.js";
import { minutesOf } from "../../engine/learn/score/saved.js";
import { past, space } from "./small.js";

const at = (id: string) => space.causes.indexOf(id);
const slots = { cause: at("slot"), starts: 6, stops: 3, at: [], events: [space.events.indexOf("moved")] };
const rails = { cause: at("rail"), starts: 6, stops: 5, at: [], events: null };
const tickets = Array.from({ length: 60 }, (_, k) => [past(k % 3 ? slots : rails), `T${k}`] as const);

function gatheredFrom(listed: typeof tickets): Gathered {
  const gathered = new Gathered(space, false);
  for (const [ticket, key] of listed) gathered.add(ticket, key);
  return gathered;
}

describe("tickets left out", () => {
  const chosen = ticketsLeftOut(gatheredFrom(tickets), 7);
  test("as many as were wanted, each with a catalog taught without it, in words that a worker can be told", () => {
    expect([chosen.tickets.length, chosen.taught.length]).toEqual([7, 5]);
    for (const { cause, stops, events, taught } of chosen.tickets) {
      expect(chosen.taught[taught]).toBeDefined();
      expect([cause, stops, events]).toEqual(cause === "slot" ? ["slot", 3, ["moved"]] : ["rail", 5, null]);
    }
    expect(structuredClone(chosen)).toEqual(chosen);
  });
  test("which they are does not depend on the order of the table; fewer are the first of more", () => {
    const seeds = (from: typeof tickets, wanted: number) =>
      ticketsLeftOut(gatheredFrom(from), wanted).tickets.map(({ seed }) => seed);
    const all = seeds(tickets, 60);
    expect(seeds([...tickets].reverse(), 60)).toEqual(all);
    expect(seeds(tickets, 7)).toEqual(all.slice(0, 7));
    expect(new Set(all).size).toBe(60);
  });
  test("shared out among three they add up to the same figures, to the last digit", () => {
    const alone = minutesOf([...pairRows(chosen)]);
    const shared = [2, 0, 1].flatMap((from) => [...pairRows(chosen, from, 3)]);
    expect(alone).toMatchObject({ strategy: "planner", tickets: 7, skipped: 0 });
    expect(minutesOf(shared)).toEqual(alone);
  });
});

describe("nothing to compare", () => {
  test("one ticket has no interval", () => {
    expect(minutesOf([...pairRows(ticketsLeftOut(gatheredFrom(tickets), 1))])).toBeNull();
  });
  test("tickets of one fold cannot be left out", () => {
    expect(ticketsLeftOut(gatheredFrom(tickets.slice(0, 1)), 5).tickets).toEqual([]);
  });
  test("a machine that cannot be made is counted apart", () => {
    const rows = [...pairRows(ticketsLeftOut(gatheredFrom(tickets), 3))];
    expect(minutesOf([...rows, { ticket: 3, pair: null }])).toMatchObject({ tickets: 3, skipped: 1 });
  });
});
