/** The door: what is written into a catalog, and that it can be taken back. */
import { describe, expect, test } from "vitest";
import { expand } from "../../engine/catalog/expand.js";
import { drawParameters } from "../../engine/belief/redraw.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import { usualTicket } from "../../engine/learn/fit/start.js";
import { Gathered } from "../../engine/learn/gather.js";
import { addOwnTicket } from "../../engine/learn/own.js";
import { spaceOf } from "../../engine/learn/space.js";
import { addTallyRow } from "../../engine/learn/tally/table.js";
import { emptyTally } from "../../engine/learn/tally/tally.js";
import { tune } from "../../engine/learn/tune.js";
import { undone } from "../../engine/learn/undo.js";
import { seededUniform } from "../../engine/numeric/random.js";
import { parseCatalog } from "../../engine/ticket/parse.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { createWeigher } from "../../engine/weigh.js";
import { cleanTickets, drawTruth, HABITS } from "../../scenarios/past-tickets/draw.js";
import { gatheredOf } from "./recovery.js";
import { catalog, past, space, start } from "./small.js";

const truth = drawTruth(start, HABITS, seededUniform(21));
const tuned = () =>
  tune(gatheredOf(cleanTickets(start, truth, HABITS, 1200, 22), true), { columns: { cause: "Fault" } });

/** Prior shares of the causes in the usual machine, as the engine weighs it. */
function priorShares(of: Catalog): number[] {
  const ticket = { ...usualTicket(spaceOf(of), 5, false), options: { draws: 0, maxCauses: 1 } };
  const weighed = createWeigher(of).weigh(ticket, { advice: false });
  if ("issues" in weighed) throw new Error(weighed.issues[0]!.message);
  const { causes, none, unlisted } = weighed.weighing;
  return [...of.causes.map((c) => causes.find((x) => x.id === c.id)?.prior ?? 0), none.p, unlisted.p];
}

describe("the tuned catalog", () => {
  const view = tuned();
  test("is one that the check has nothing against, and says where its figures come from", () => {
    expect("catalog" in parseCatalog(view.tuned)).toBe(true);
    expect(view.tuned).toMatchObject({
      id: "lamp-box-tuned",
      tuned: { from: { id: "lamp-box", version: "1" }, tickets: 1200, columns: { cause: "Fault" } },
    });
    expect(view.tuned.tuned!.first! < view.tuned.tuned!.last!).toBe(true);
    expect(JSON.stringify(view.tuned.causes[0]!.weight)).toContain("past tickets:");
  });
  test("weighed by the engine, an empty record has the fitted shares", () => {
    const gathered = new Gathered(space, false);
    for (let k = 0; k < 100; k++)
      gathered.add(past({ cause: [0, 0, 0, 0, 0, 0, 2, 2, 3, 4][k % 10]! }), `T${k}`);
    const { tuned: after, changes } = tune(gathered);
    const shares = changes.filter((c) => c.figure === "share");
    priorShares(after).forEach((p, c) => {
      const wanted = shares.find((s) => s.of === space.causes[c])!.after.value;
      expect(Math.abs(p / wanted - 1)).toBeLessThan(1e-4); // five digits are written
    });
  });
  test("rates and ages are left as they were: λ is not touched by shares", () => {
    view.tuned.causes.forEach((c, k) => expect(c.rate).toEqual(catalog.causes[k]!.rate));
  });
  test("undo gives back the very catalog, key by key", () => {
    expect(undone(view.tuned)).toEqual({ catalog });
  });
  test("tuned again and taken back twice, it is the first one", () => {
    const again = tune(gatheredIn(view.tuned));
    const once = undone(again.tuned);
    expect(once).toEqual({ catalog: view.tuned });
    expect(undone((once as { catalog: Catalog }).catalog)).toEqual({ catalog });
  });
  test("what was changed by hand since is named, and nothing is taken back", () => {
    const touched = structuredClone(view.tuned);
    touched.causes[0]!.weight = 7;
    expect(undone(touched)).toMatchObject({ issues: [{ path: "causes.slot.weight" }] });
    expect(undone(catalog)).toMatchObject({ issues: [{ path: "tuned" }] });
  });
  test("the same tickets give the same catalog, in whatever order they come", () => {
    const tickets = [...cleanTickets(start, truth, HABITS, 300, 5)].map((t, k) => [t, `T${k}`] as const);
    const run = (list: typeof tickets) => {
      const gathered = new Gathered(space, false);
      for (const [ticket, key] of list) gathered.add(ticket, key);
      return tune(gathered).tuned;
    };
    const [one, other] = [run(tickets), run(tickets.toReversed())];
    expect(other.causes.map((c) => c.weight)).toEqual(one.causes.map((c) => c.weight));
  });
});

function gatheredIn(of: Catalog): Gathered {
  const gathered = new Gathered(spaceOf(of), false);
  for (let k = 0; k < 60; k++) gathered.add(past({ cause: k % 4, starts: 5, stops: 1 + (k % 5) }), `A${k}`);
  return gathered;
}

describe("unit-years", () => {
  test("a rate is Gamma–Poisson: 2 % with 3 failures' worth, 12 tickets in 400 unit-years", () => {
    const tally = emptyTally(space);
    tally.tickets[0] = 12;
    tally.tickets[2] = 12;
    const row = {
      kind: "years",
      cause: "slot",
      item: "",
      k: "",
      n: "",
      tickets: "",
      total: "400",
      squares: "",
    };
    expect(addTallyRow(tally, row, 2, space)).toBeNull();
    const gathered = new Gathered(space, false);
    gathered.addTally(tally);
    const { tuned: after, changes } = tune(gathered);
    expect(after.causes[0]!.rate).toMatchObject({ failures: 15, unitYears: 550 }); // 3 + 12 and 150 + 400
    expect(after.causes[0]!.weight).toBeUndefined();
    // the others keep the ratio of the shares to it
    const fitted = (id: string) => changes.find((c) => c.of === id && c.figure === "share")!.after.value;
    const weighed = priorShares(after);
    const ratio = weighed[2]! / weighed[0]! / (fitted("rail") / fitted("slot"));
    expect(ratio).toBeCloseTo(1, 2); // odds bend a little with λ
  });
});

describe("the weight in a catalog", () => {
  const weighted = {
    ...catalog,
    causes: catalog.causes.map((c, k) => (k === 0 ? { ...c, weight: { value: 3, knowledge: 8 } } : c)),
  };
  const usual = usualTicket(spaceOf(weighted), 5, false);
  test("multiplies the odds", () => {
    const [plain, heavy] = [catalog, weighted].map((c) => expand(c, usual).causes[0]!.chance);
    expect(heavy! / (1 - heavy!)).toBeCloseTo((3 * plain!) / (1 - plain!), 12);
  });
  test("carries all of the uncertainty: redraws leave its rate alone", () => {
    const { parameters } = expand(weighted, usual);
    const at = (name: string) => parameters.findIndex((p) => p.name === name);
    const draws = drawParameters(parameters, 50, 1);
    expect(new Set(draws.map((d) => d[at("slot.rate")])).size).toBe(1);
    expect(new Set(draws.map((d) => d[at("slot.weight")])).size).toBe(50);
    expect(new Set(draws.map((d) => d[at("rail.rate")])).size).toBe(50);
  });
});

describe("closed tickets of our own", () => {
  const own = (entries: Ticket["entries"]): Ticket => ({
    ...{ format: "fitful/ticket@1", id: "t1", title: "Own", catalog: "lamp-box" },
    machine: { ageYears: 4, parts: [{ id: "m1", kind: "module", position: "A1" }] },
    entries,
  });
  const starts = (outcome: string, n: number) => ({
    kind: "starts" as const,
    id: `s-${outcome}`,
    trials: [{ outcome, n }],
  });
  const release = (confirmed?: string[]) => ({
    kind: "release" as const,
    id: "r",
    at: "2025-05-06T10:00",
    ...(confirmed && { confirmed }),
  });
  const added = (...tickets: Ticket[]) => {
    const gathered = new Gathered(space, true);
    return { gathered, notes: tickets.map((t) => addOwnTicket(gathered, t)) };
  };

  test("confirmed: starts before the first repair count, later ones do not", () => {
    const repair = { kind: "repair" as const, id: "x", repair: "clean", minutes: 12 };
    const { gathered, notes } = added(own([starts("memory", 2), starts("clean", 3), repair, { ...starts("clean", 9), id: "z" }, release(["slot"])])); // prettier-ignore
    expect(notes).toEqual([{ note: null }]);
    const { tally } = gathered.all();
    expect([...tally.starts]).toEqual([["0 2 5 1", 1]]);
    expect(tally.stops[1]).toBe(2);
    expect(tally.minutes[0]).toBe(1);
    expect(tally.minutes[1]).toBeCloseTo(Math.log(12), 12);
    expect(tally.last).toBe("2025-05-06");
  });
  test("confirmed, at other exposures: its starts count with them, all of them, and not as nominal ones", () => {
    const half = catalog.causes.map((c) => (c.id === "slot" ? { ...c, exposure: 0.5 } : c));
    const gathered = new Gathered(spaceOf({ ...catalog, causes: half }), true);
    const record = own([starts("memory", 2), starts("clean", 3), release(["slot"])]);
    expect(addOwnTicket(gathered, record)).toEqual({ note: null });
    const { tally, graded } = gathered.all();
    expect(graded).toEqual([{ cause: 0, groups: [{ exposure: 0.5, stops: 2, clean: 3 }], onlyShown: true }]);
    expect([tally.starts.size, tally.tickets[0], tally.stops[1]]).toEqual([0, 1, 2]);
    expect(tune(gathered).changes.find((c) => c.of === "slot" && c.figure === "rate")!.tickets).toBe(1);
  });
  test("not confirmed: it counts by what the engine makes of its record", () => {
    const { gathered } = added(own([starts("dead", 6), release()]));
    const [record] = gathered.all().unconfirmed;
    const by = (id: string) => record!.record![space.causes.indexOf(id)]!;
    expect(by("rail")).toBeGreaterThan(by("slot"));
    expect(by("strip")).toBeGreaterThan(by("edge"));
    expect(by("slot")).toBeGreaterThan(by("none"));
    const { changes } = tune(added(...Array.from({ length: 30 }, (_, k) => ({ ...own([starts("dead", 6), release()]), id: `t${k}` }))).gathered); // prettier-ignore
    const share = (id: string) => changes.find((c) => c.of === id && c.figure === "share")!;
    expect(share("rail").after.value).toBeGreaterThan(share("rail").before.value);
  });
  test("what teaches nothing says why", () => {
    const { notes } = added(
      own([starts("dead", 2)]),
      own([release(["slot", "rail"])]),
      own([release(["the fuse"])]),
    );
    expect(notes.map((n) => ("note" in n ? n.note : n))).toEqual([
      "not closed: a record ends with a release",
      "several causes confirmed: their starts cannot be told apart",
      "confirmed the fuse, which is no cause of the catalog",
    ]);
    expect(added({ ...own([release()]), catalog: "other" }).notes[0]).toMatchObject({
      issues: [{ path: "catalog" }],
    });
  });
  test("a practice machine is refused: it was drawn from the figures that are tuned", () => {
    const practice = { version: "1", difficulty: "fitful", theme: "any", seed: 7 };
    const { gathered, notes } = added({ ...own([starts("memory", 2), release(["slot"])]), practice });
    expect(notes[0]).toMatchObject({
      issues: [{ message: "practice: found practice machine 7, expected a machine of the bench's own" }],
    });
    expect(gathered.all().tally.starts.size).toBe(0);
  });
});
