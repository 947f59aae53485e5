import { expect, test } from "vitest";
import { changed, OWN } from "../../engine/ticket/setup.js";
import { fixesOf } from "../../engine/plan/fixes.js";
import { readySetups } from "../../engine/plan/home.js";
import { pricesOf } from "../../engine/plan/terms.js";
import { catalog, ticket } from "./small.js";
import { after } from "./state.js";

const fixesAfter = (...entries: object[]) => {
  const of = ticket(entries.map((e, k) => ({ id: `e${k}`, kind: "change", ...e })) as never);
  const state = after(of);
  const { model } = state.belief;
  const ready = readySetups(model, state.place, of.entries)[0]!;
  return { state, ready, fixes: fixesOf(state, pricesOf(catalog, of), ready, {}) };
};

test("from a donor a repair comes home first", () => {
  const donor = ticket().machine.donors![0]!.id;
  const { state, ready, fixes } = fixesAfter({ in: donor, fit: { A1: "m1" } });
  expect([state.place.setup.in, ready.in]).toEqual([donor, OWN]);
  for (const { candidate } of fixes) expect(changed(state.place.setup, candidate.change!).in).toBe(OWN);
});

test("what was left out goes back in before a repair is proved", () => {
  const { state, fixes } = fixesAfter({ fit: { A1: null } });
  const repair = fixes.find((fix) => fix.candidate.repair)!;
  expect(state.place.setup.fit["A1"]).toBeNull();
  expect(changed(state.place.setup, repair.candidate.change!).fit["A1"]).toBe("m1");
});

test("nothing that came with the machine goes back in as a repair", () => {
  const { state, fixes } = fixesAfter({ fit: { A1: "m3" } });
  const spare = (id: string) => state.belief.model.ticket.machine.parts.find((p) => p.id === id)?.spare;
  const put = fixes
    .filter((f) => !f.candidate.repair)
    .flatMap((f) => Object.values(f.candidate.change!.fit ?? {}));
  expect(put.length).toBeGreaterThan(0);
  for (const id of put) expect(id === null || spare(id)).toBeTruthy();
});
