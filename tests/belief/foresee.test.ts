/** What was foreseen is what would have been said without it, and is there without weighing the start again. */
import { beforeEach, expect, test, vi } from "vitest";
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import * as fold from "../../engine/belief/fold.js";
import { createWeigher } from "../../engine/weigh.js";
import { catalog, ticket } from "../explorer/small.js";

vi.mock("../../engine/belief/fold.js", async (original) => {
  const real = await original<typeof fold>();
  return { ...real, step: vi.fn(real.step) };
});
const steps = vi.mocked(fold.step);
beforeEach(() => void steps.mockClear());

const row = (id: string, trials: Trial[], minute = 0): Entry => ({
  kind: "starts",
  id,
  at: `2030-01-02T08:0${minute}:00.000Z`,
  trials: trials.map((t) => ({ ...t, at: `2030-01-02T08:0${minute}:30.000Z` })),
});
const after = (...entries: Entry[]): Ticket => ({ ...ticket, entries });
const first = row("first", [{ outcome: "dead" }, { outcome: "clean" }]);
const [clean, stop]: Trial[] = [{ outcome: "clean" }, { outcome: "memory" }];
const moved: Entry = { kind: "change", id: "moved", fit: { A1: null } };

function ready(...come: Ticket[]) {
  const weigher = createWeigher(catalog);
  weigher.weigh(after(first), { advice: false });
  for (const one of come) weigher.foresee(one);
  steps.mockClear();
  return weigher;
}
/** The same without any foresight. */
function fresh(of: Ticket, advice: boolean | "next") {
  const said = createWeigher(catalog).weigh(of, { advice });
  if ("issues" in said) throw new Error(said.issues.map(({ message }) => message).join("; "));
  return said;
}

test("a start foreseen is not weighed again, whenever it was made and whatever its name", () => {
  const weigher = ready(after(first, row("x", [clean!])), after(first, row("x", [stop!])));
  const came = after(first, row("y", [stop!], 7));
  const said = weigher.weigh(came, { advice: false });
  expect(steps).not.toHaveBeenCalled();
  expect(said).toEqual(fresh(came, false));
});

test("the row of the last entry may be what grows", () => {
  const grown = after(row("first", [{ outcome: "dead" }, { outcome: "clean" }, clean!]));
  const weigher = ready(grown);
  expect(weigher.weigh(grown, { advice: false })).toEqual(fresh(grown, false));
  expect(steps).toHaveBeenCalledTimes(1); // by the fresh one
});

test.each([true, "next"] as const)("all that is asked beside it is as without foresight (%s)", (advice) => {
  const came = after(first, row("y", [stop!]));
  const weigher = ready(came);
  expect(weigher.weigh(came, { advice })).toEqual(fresh(came, advice));
  const further = after(...came.entries, moved, row("z", [clean!]));
  expect(weigher.weigh(further, { advice })).toEqual(fresh(further, advice));
});

test("what stands behind another record is not taken", () => {
  const weigher = ready(after(first, row("x", [clean!])));
  const other = after(row("other", [stop!]), row("x", [clean!]));
  expect(weigher.weigh(other, { advice: false })).toEqual(fresh(other, false));
  const back = after(first, row("x", [clean!]));
  expect(weigher.weigh(back, { advice: false })).toEqual(fresh(back, false));
});

test("an entry that is not like it in what it says is weighed", () => {
  const weigher = ready(after(first, row("x", [clean!])));
  const cold: Entry = {
    ...(row("x", [clean!]) as Extract<Entry, { kind: "starts" }>),
    conditions: { rest: "cold" },
  };
  const came = after(first, cold);
  expect(weigher.weigh(came, { advice: false })).toEqual(fresh(came, false));
  expect(steps).toHaveBeenCalled();
});

test("what cannot follow, or cannot be weighed, changes nothing", () => {
  const wrong: Entry = { kind: "starts", id: "x", trials: [{ outcome: "nowhere" }] };
  const machine = { ...after(first, row("x", [clean!])), machine: { ...ticket.machine, ageYears: 9 } };
  const weigher = ready(after(first, wrong), after(), after(moved), machine);
  const came = after(first, row("x", [clean!]));
  expect(weigher.weigh(came, { advice: false })).toEqual(fresh(came, false));
});
