import { expect, test } from "vitest";
import { nearest } from "../../engine/ticket/nearest.js";

const STAGES = ["dead", "memory", "picture"];

test.each([
  ["memroy", "memory"], // two letters changed places
  ["Memory", "memory"],
  ["pictures", "picture"],
  ["ded", "dead"],
])("%s is meant for %s", (written, meant) => expect(nearest(written, STAGES)).toBe(meant));

test.each(["x", "windowsill", "", "m".repeat(10_000)])("%.12s is near to none", (written) => {
  expect(nearest(written, ["memory", "picture"])).toBeNull();
});

test("where nothing is known nothing is near", () => expect(nearest("dead", [])).toBeNull());

test("the id comes back as it is written in the catalog", () =>
  expect(nearest("a1", ["A1", "B2"])).toBe("A1"));
