import { expect, test } from "vitest";
import type { Ticket } from "../../engine/ticket/schema.js";
import { csvOf } from "../../explorer/charts/figure.js";
import { triedMapTable } from "../../explorer/charts/tables.js";
import { triedMap } from "../../explorer/charts/tried-map.js";
import { tried, UNSEEN } from "../../explorer/charts/tried-rows.js";
import { triedName } from "../../explorer/bench/suspects/tried-name.js";
import { setupsThrough, Words } from "../../explorer/bench/words.js";
import { drawnBy } from "./drawn.js";
import { catalog, ticket } from "./small.js";

const record: Ticket = {
  ...ticket,
  entries: [
    { kind: "starts", id: "o", by: "owner", trials: [{ outcome: "dead", n: 3 }, { outcome: "clean", n: 9 }] },
    { kind: "starts", id: "a", trials: [{ outcome: "clean" }, { outcome: ["dead", "memory"] }, { outcome: "dead", voided: "switch forgotten" }] },
    { kind: "starts", id: "b", conditions: { rest: 45 }, trials: [{ outcome: "memory" }] },
    { kind: "starts", id: "c", conditions: { rest: 600 }, trials: [{ outcome: ["memory"] }] },
    { kind: "change", id: "d", fit: { A1: "m3" } },
    { kind: "starts", id: "e", trials: [{ outcome: "clean", n: 4 }] },
    { kind: "starts", id: "f", trials: [] },
  ],
}; // prettier-ignore
const words = new Words(catalog, record);
const of = (from: Ticket) =>
  tried(from, catalog, setupsThrough(catalog, from).at, (entry, setup) => triedName(words, entry, setup));
const map = of(record);

test("starts are counted by setup, by classes of conditions and by who counted; voided ones are not", () => {
  expect(map.cells).toEqual([
    { setup: "Warm: owner’s count, as it came in", outcome: "dead", n: 3 },
    { setup: "Warm: owner’s count, as it came in", outcome: "clean", n: 9 },
    { setup: "Warm: as it came in", outcome: UNSEEN, n: 1 },
    { setup: "Warm: as it came in", outcome: "clean", n: 1 },
    { setup: "Cold: as it came in", outcome: "memory", n: 2 },
    { setup: "Warm: spare module in slot A1", outcome: "clean", n: 4 },
  ]);
});

test("outcomes stand in the order the machine passes them, those nobody saw before clean ones", () => {
  expect(map.outcomes.map(({ id }) => id)).toEqual(["dead", "memory", UNSEEN, "clean"]);
  expect(of(ticket)).toMatchObject({ setups: [], cells: [] });
});

test("the map draws every count, and its file has a line for each setup", () => {
  for (const width of [330, 800]) expect(drawnBy(triedMap(map, width))).toContainEqual(map.cells);
  expect(csvOf(triedMapTable(map)).split("\n")).toEqual([
    "Setup,Starts,nothing,memory,not seen where,clean",
    '"Warm: owner’s count, as it came in",12,3,0,0,9',
    "Warm: as it came in,2,0,0,1,1",
    "Cold: as it came in,2,0,2,0,0",
    "Warm: spare module in slot A1,4,0,0,0,4",
  ]);
});
