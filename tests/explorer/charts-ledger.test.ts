import { describe, expect, test } from "vitest";
import { ledger } from "../../explorer/charts/ledger.js";
import { chanceAt, ledgerRows } from "../../explorer/charts/ledger-rows.js";
import { NONE, UNLISTED } from "../../explorer/charts/rows.js";
import { weighed } from "../belief/weighed.js";
import { runs, simpleTicket } from "../oracle/simple.js";
import { drawnBy } from "./drawn.js";

const flat = { hard: 0, a: 1, b: 1 };
const causes = [
  { id: "a", p: 0.2, rate: flat },
  { id: "b", p: 0.1, rate: flat, exposure: 0.01 },
];
const weighing = weighed(
  simpleTicket({ causes, entries: [runs("one", 2, 0), runs("two", 0, 3), runs("three", 1, 1)] }),
);
const rowsOf = (id: string) => ledgerRows(weighing, id, (entry) => `entry ${entry}`)!;

describe("the ledger of one suspect", () => {
  test("leads from its chance before the record to its chance now, each row from where the last one ended", () => {
    for (const { id, prior, present } of weighing.causes) {
      const rows = rowsOf(id);
      expect(chanceAt(rows[0]!.to)).toBeCloseTo(prior, 9);
      expect(chanceAt(rows.at(-1)!.to)).toBeCloseTo(present.p, 9);
      rows.slice(1).forEach((row, k) => expect(row.from).toBe(rows[k]!.to));
    }
  });

  test("two stops speak for a cause that shows, and the words of the entry stand beside", () => {
    expect(rowsOf("a").find((row) => row.id === "one")).toMatchObject({ label: "entry one" });
    expect(rowsOf("a").find((row) => row.id === "one")!.weight).toBeGreaterThan(1);
  });

  test("entries of under half a deciban are one row, so that the sum still holds", () => {
    const near = weighed(
      simpleTicket({ causes, entries: [runs("one", 2, 0), runs("idle", 0, 0), runs("more", 1, 0)] }),
    );
    const rows = ledgerRows(near, "a", String)!;
    const small = near.entries.filter(({ ledger }) => Math.abs(ledger["a"]!) < 0.5);
    expect(small.map(({ id }) => id)).toContain("idle");
    expect(rows.find((row) => row.id === "others")!.weight).toBeCloseTo(
      small.reduce((sum, e) => sum + e.ledger["a"]!, 0),
      9,
    );
    expect(rows.map(({ id }) => id)).not.toContain("idle");
  });

  test("where nothing is left of a suspect there is no sum", () => {
    // with no leak, a stop rules out that nothing was wrong
    expect(ledgerRows(weighing, NONE, String)).toBeNull();
    expect(ledgerRows(weighing, UNLISTED, String)).not.toBeNull();
  });

  test("every row has its bar or its tick, and the scale holds them all", () => {
    const rows = rowsOf("a");
    const options = ledger(rows, 400);
    expect(options.y?.domain).toEqual(rows.map((row) => row.id));
    expect(drawnBy(options)).toContainEqual(rows.filter((row) => row.weight !== null));
    const [low, high] = options.x!.domain as number[];
    for (const { from, to } of rows) expect(Math.min(from, to) >= low! && Math.max(from, to) <= high!).toBe(true); // prettier-ignore
  });
});
