/** A small machine with one of everything that the simulation draws: invented. */
import jstat from "jstat";
import type { Catalog } from "../../engine/catalog/schema.js";
import { modelOf, type Model } from "../../engine/belief/model.js";
import type { Ticket } from "../../engine/ticket/schema.js";
import { catalog as lampBox, ticket as lampTicket } from "../command/small.js";

export const catalog: Catalog = {
  ...lampBox,
  nothingWrong: 0.15,
  unlisted: 0.2,
  conditions: [
    {
      id: "rest",
      name: "Rest",
      default: "warm",
      classes: [
        { id: "warm", name: "warm", from: 0, typical: 2 },
        { id: "cold", name: "cold", from: 30, typical: 60, wait: 15 },
      ],
    },
  ],
  causes: [
    ...lampBox.causes,
    {
      id: "loose-slot",
      name: "Loose slot",
      group: "contact",
      per: { position: "slot" },
      contact: true,
      reseat: 0.6,
      rate: 0.06,
      intermittency: { hard: 0.2, a: 1, b: 2 },
      signature: { dead: 0.3, memory: 0.7 },
      exposure: "1 + rest / 60",
    },
  ],
  repairs: [
    {
      id: "clean",
      name: "Clean the slots",
      on: "machine",
      clears: { "loose-slot": 0.8 },
      minutes: 6,
      cost: 2,
    },
    {
      id: "retrain",
      name: "Retrain the module",
      on: { part: "module" },
      clears: { "tired-module": 0.5 },
      minutes: 3,
      needs: { reach: "clean" },
    },
  ],
  machine: {
    parts: [
      { id: "m1", kind: "module", position: "A1" },
      { id: "s1", kind: "supply", position: "bay" },
    ],
  },
};

export const ticket = (): Ticket => ({ ...lampTicket({ entries: [] }), catalog });

export const model = (): Model => modelOf(catalog, ticket());

const chiSquare = (jstat.jStat as unknown as { chisquare: { inv(p: number, degrees: number): number } })
  .chisquare;

/**
 * Pearson's statistic over its critical value at 1 in 1000 (jStat's inverse of the chi-square distribution); cells that
 * are expected fewer than five times are put together. Over 1: these draws do not have these chances.
 */
export function misfit(counts: ArrayLike<number>, chances: ArrayLike<number>): number {
  const n = Array.from(counts).reduce((sum, x) => sum + x, 0);
  let [rest, expectedRest, statistic, cells] = [0, 0, 0, 0];
  const add = (count: number, expected: number) => {
    statistic += (count - expected) ** 2 / expected;
    cells++;
  };
  Array.from(chances).forEach((p, k) => {
    if (p * n >= 5) add(counts[k]!, p * n);
    else {
      rest += counts[k]!;
      expectedRest += p * n;
    }
  });
  if (expectedRest > 0) add(rest, expectedRest);
  return statistic / chiSquare.inv(0.999, cells - 1);
}
