import { expect, test } from "vitest";
import type { Entry } from "../../engine/ticket/schema.js";
import { Words } from "../../engine/command/words.js";
import { catalog, ticket } from "./small.js";

/** A stage, a part and a position that share an id, as a catalog may have them. */
const words = new Words(
  ticket({
    machine: {
      ageYears: 5,
      parts: [{ id: "memory", kind: "module", name: "Module 1", position: "A1" }],
      donors: [{ id: "rig", name: "Test rig" }],
    },
  }),
  {
    ...catalog,
    positions: [
      ...catalog.positions,
      { id: "dead", name: "slot of the dead", kind: "slot", accepts: "module" },
    ],
    conditions: [
      {
        id: "rest",
        name: "Rest",
        default: "warm",
        classes: [
          { id: "warm", name: "Warm", from: 0, typical: 2 },
          { id: "cold", name: "Cold", from: 30, typical: 60 },
        ],
      },
    ],
  },
);

test.each<[entry: Entry, text: string]>([
  [
    {
      kind: "starts",
      id: "e",
      by: "owner",
      conditions: { rest: 600 },
      trials: [
        { outcome: "memory", n: 2 },
        { outcome: ["dead", "memory"] },
        { outcome: "memory" },
        { outcome: "clean", voided: "wrong setup" },
        { outcome: ["dead", "clean"] },
      ],
    },
    "the owner's count, cold (600 min): 3 × stops at the memory check, 1 × stopped somewhere, 1 × nothing at all or clean",
  ],
  [{ kind: "starts", id: "e", trials: [] }, "starts: none that counts"],
  [
    {
      kind: "change",
      id: "e",
      in: "rig",
      fit: { A1: null, dead: "memory" },
      settings: { speed: "standard" },
    },
    "in Test rig; slot A1 emptied; Module 1 into slot of the dead; Memory speed: standard",
  ],
  [{ kind: "change", id: "e", in: "own" }, "in its own machine"],
  [{ kind: "finding", id: "e", finding: "look", value: "nothing" }, "A look inside: nothing to see"],
  [{ kind: "reading", id: "e", reading: "five", on: "memory", value: 4.8 }, "+5 V standby, Module 1: 4.8 V"],
  [{ kind: "reading", id: "e", reading: "five", value: "4810 mV" }, "+5 V standby: 4810 mV"],
  [{ kind: "repair", id: "e", repair: "reseat", on: "dead" }, "Reseat the module, slot of the dead"],
  [{ kind: "note", id: "e", text: "x".repeat(200) }, `note: ${"x".repeat(99)}…`],
])("%j", (entry, text) => {
  expect(words.entry(entry)).toBe(text);
});
