/** What the machine lacks to be tried as it stands. */
import { expect, test } from "vitest";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Draft } from "../../explorer/bench/ticket-edits.js";
import { missingFrom } from "../../explorer/bench/fitted/missing.js";
import { append } from "../../explorer/bench/ticket-edits.js";
import { setupsThrough, Words } from "../../explorer/bench/words.js";
import { catalog as small, ticket as came } from "./small.js";

const catalog: Catalog = {
  ...small,
  parts: small.parts.map((kind) => (kind.id === "module" ? { ...kind, needsOne: true } : kind)),
  positions: small.positions.map((place) => (place.id === "bay" ? { ...place, needed: true } : place)),
};
const parts = [...came.machine.parts, { id: "s1", kind: "supply", name: "Supply", position: "bay" }];
const donors = [{ id: "d", name: "the other one" }];
const whole: Ticket = { ...came, machine: { ...came.machine, parts, donors } };

function missing(change: Omit<Extract<Draft, { kind: "change" }>, "kind">, ticket = whole): string {
  const changed = append(ticket, { kind: "change", ...change });
  return missingFrom(setupsThrough(catalog, changed).now, new Words(catalog, changed));
}

test("a machine that came in and one with a module out can be tried", () => {
  expect(missing({ settings: { speed: "rated" } })).toBe("");
  expect(missing({ fit: { A1: null } })).toBe("");
});

test("an empty place that is needed, and the last of a kind of which one is, are named", () => {
  expect(missing({ fit: { bay: null } })).toBe("It cannot be tried like this: bay empty.");
  expect(missing({ fit: { A1: null, A2: null } })).toBe("It cannot be tried like this: no module fitted.");
  expect(missing({ fit: { A1: null, A2: null, bay: null } })).toBe(
    "It cannot be tried like this: bay empty, no module fitted.",
  );
});

test("what the ticket never said to be there is not missed, nor what another machine has of its own", () => {
  expect(missing({ fit: { A1: null } }, came)).toBe("");
  expect(missing({ in: "d", fit: { A1: "m1" } })).toBe("");
  expect(missing({ in: "d", fit: { bay: null } })).toBe("It cannot be tried like this: bay empty.");
});
