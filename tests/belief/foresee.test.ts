/** What was foreseen is what would have been said without it, and is there without weighing the start again. */
import { expect, test } from "vitest";
import type { Entry, Ticket, Trial } from "../../engine/ticket/schema.js";
import { createWeigher } from "../../engine/weigh.js";
import type { Weighing } from "../../engine/weighing.js";
import { catalog, ticket } from "../explorer/small.js";

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
  const said = come.map((one) => weigher.foresee(one));
  /** does the last entry do the very thing that was foreseen, not merely the same again? */
  const isForeseen = (of: Ticket, foreseen: Weighing | null) => {
    const came = weigher.weigh(of, { advice: false });
    return "weighing" in came && came.weighing.entries.at(-1)!.ledger === foreseen?.entries.at(-1)!.ledger;
  };
  return { weigher, said, isForeseen };
}
/** The same without any foresight. */
function fresh(of: Ticket, advice: boolean | "next") {
  const said = createWeigher(catalog).weigh(of, { advice });
  if ("issues" in said) throw new Error(said.issues.map(({ message }) => message).join("; "));
  return said;
}

test("a start foreseen is not weighed again, whenever it was made and whatever its name", () => {
  const come = [clean!, stop!].map((trial) => after(first, row("x", [trial])));
  const { weigher, said, isForeseen } = ready(...come);
  expect(said.map((weighing) => ({ weighing }))).toEqual(come.map((one) => fresh(one, false)));
  const came = after(first, row("y", [stop!], 7));
  expect(isForeseen(came, said[1]!)).toBe(true);
  expect(weigher.weigh(came, { advice: false })).toEqual(fresh(came, false));
});

test("the row of the last entry may be what grows", () => {
  const grown = after(row("first", [{ outcome: "dead" }, { outcome: "clean" }, clean!]));
  const { weigher, said, isForeseen } = ready(grown);
  expect({ weighing: said[0] }).toEqual(fresh(grown, false));
  expect(isForeseen(grown, said[0]!)).toBe(true);
  expect(weigher.weigh(grown, { advice: false })).toEqual(fresh(grown, false));
});

test.each([true, "next"] as const)("all that is asked beside it is as without foresight (%s)", (advice) => {
  const came = after(first, row("y", [stop!]));
  const { weigher } = ready(came);
  expect(weigher.weigh(came, { advice })).toEqual(fresh(came, advice));
  const further = after(...came.entries, moved, row("z", [clean!]));
  expect(weigher.weigh(further, { advice })).toEqual(fresh(further, advice));
});

test("what was foreseen behind another record is not taken", () => {
  const { weigher, said, isForeseen } = ready(after(first, row("x", [clean!])));
  const other = after(row("other", [stop!]), row("x", [clean!]));
  expect(isForeseen(other, said[0]!)).toBe(false);
  expect(weigher.weigh(other, { advice: false })).toEqual(fresh(other, false));
  const back = after(first, row("x", [clean!]));
  expect(weigher.weigh(back, { advice: false })).toEqual(fresh(back, false));
});

test("an entry that says something else is weighed", () => {
  const { weigher, said, isForeseen } = ready(after(first, row("x", [clean!])));
  const cold = { ...row("x", [clean!]), conditions: { rest: "cold" } } as Entry;
  const came = after(first, cold);
  expect(isForeseen(came, said[0]!)).toBe(false);
  expect(weigher.weigh(came, { advice: false })).toEqual(fresh(came, false));
});

test("what is called `at` elsewhere than on a start is no clock", () => {
  const [condition] = catalog.conditions!;
  const named = { ...catalog, conditions: [{ ...condition!, id: "at" }] };
  const under = (value: string) =>
    after(first, { kind: "starts", id: "x", conditions: { at: value }, trials: [{ outcome: "clean" }] });
  const weigher = createWeigher(named);
  weigher.weigh(after(first), { advice: false });
  expect(weigher.foresee(under("warm"))).not.toBeNull();
  const came = under("cold");
  expect(weigher.weigh(came, { advice: false })).toEqual(createWeigher(named).weigh(came, { advice: false }));
});

test("what cannot follow, or cannot be weighed, is not foreseen and changes nothing", () => {
  const wrong: Entry = { kind: "starts", id: "x", trials: [{ outcome: "nowhere" }] };
  const machine = { ...after(first, row("x", [clean!])), machine: { ...ticket.machine, ageYears: 9 } };
  const { weigher, said } = ready(after(first, wrong), after(), after(moved, row("x", [clean!])), machine);
  expect(said).toEqual([null, null, null, null]);
  const came = after(first, row("x", [clean!]));
  expect(weigher.weigh(came, { advice: false })).toEqual(fresh(came, false));
});
