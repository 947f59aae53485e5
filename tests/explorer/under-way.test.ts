import { expect, test } from "vitest";
import type { Ticket, Trial } from "../../engine/ticket/schema.js";
import type { TestView } from "../../engine/weighing.js";
import { UnderWay } from "../../explorer/bench/strip/under-way.svelte.js";
import { ticket } from "./small.js";

const at = (minute: number, second = 0) => new Date(Date.UTC(2030, 0, 2, 8, minute, second)).toISOString();
const asked = (part: Partial<TestView>) =>
  ({ kind: "starts", n: 3, stopEarly: true, finding: null, reading: null, ...part }) as TestView;
const withStarts = (...trials: Trial[]): Ticket => ({
  ...ticket,
  entries: [...ticket.entries, { kind: "starts", id: "e2", trials }],
});

test("the clock counts minutes of work alone: those while it stands are nobody's", () => {
  const under = new UnderWay(asked({}), at(0));
  under.stand(at(4));
  expect(under.minutes(at(500))).toBe(4);
  under.goOn(at(500));
  expect(under.minutes(at(502, 30))).toBe(6.5);
  expect(UnderWay.from(under.kept).minutes(at(502, 30))).toBe(6.5);
  expect(new UnderWay(asked({}), at(0)).written(at(0, 1))).toBe(0.1);
});

test("a row of starts is over when it is full, or at its first stop where it ends early; older and void starts do not count", () => {
  const clean = (minute: number): Trial => ({ outcome: "clean", at: at(minute) });
  const dead = (minute: number): Trial => ({ outcome: "dead", at: at(minute) });
  const over = (part: Partial<TestView>, ...trials: Trial[]) =>
    new UnderWay(asked(part), at(10)).isOver(withStarts(...trials));
  expect(over({}, clean(11), clean(12))).toBe(false);
  expect(over({}, clean(11), clean(12), clean(13))).toBe(true);
  expect(over({}, dead(11))).toBe(true);
  expect(over({}, dead(9))).toBe(false);
  expect(over({}, { ...dead(11), voided: "wrong key" })).toBe(false);
  expect(over({ stopEarly: false }, dead(11))).toBe(false);
});

test("a reading is the answer where it is the one that was asked for, on the part that was asked about", () => {
  const under = new UnderWay(asked({ kind: "reading", reading: { id: "volts", on: "s1" } }), at(0));
  expect(under.isAnsweredBy({ kind: "reading", reading: "volts", on: "s1", value: 5 })).toBe(true);
  expect(under.isAnsweredBy({ kind: "reading", reading: "volts", on: "s2", value: 5 })).toBe(false);
  expect(under.isAnsweredBy({ kind: "note", text: "" })).toBe(false);
  expect(under.isOver(ticket)).toBe(false);
});
