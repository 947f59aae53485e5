import { expect, test } from "vitest";
import { Ticket } from "../../engine/ticket/schema.js";
import { ticket } from "../plan/small.js";

test.each([
  ["no entries and no options", {}],
  ["a catalog by name", { catalog: "kiosk" }],
  ["one entry of every kind", {
    entries: [
      { kind: "intake", id: "1", complaint: "sometimes dead", at: "2031-02-03T09:00:00Z" },
      { kind: "starts", id: "2", by: "owner", trust: 0.3, conditions: { rest: "cold", load: 12 }, trials: [{ outcome: ["dead", "memory"], n: 3, minute: 2, code: "3 beeps", voided: "dog" }] },
      { kind: "finding", id: "3", finding: "dust", on: "A1", value: "dusty", minutes: 2, note: "grey" },
      { kind: "reading", id: "4", reading: "rail", on: "s1", value: "4810 mV" },
      { kind: "change", id: "5", fit: { A1: null }, settings: { speed: "standard" }, in: "own" },
      { kind: "repair", id: "6", repair: "brush", on: "A1" },
      { kind: "note", id: "7", text: "tea" },
      { kind: "worksheet", id: "8", expression: "2 * 3" },
      { kind: "release", id: "9", confirmed: ["slot-contact@b1.A1"] },
    ],
  }],
])("a ticket with %s comes through as it is", (_, changes) => {
  const { options: __, ...plain } = ticket();
  const data = { ...plain, ...changes };
  expect(Ticket.parse(data)).toEqual(data);
}); // prettier-ignore
