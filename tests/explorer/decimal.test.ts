import { expect, test } from "vitest";
import { decimalFault, decimalIn } from "../../explorer/decimal.js";

test.each([
  ["2.5", 2.5],
  ["2,5", 2.5],
  [" 20,5 ", 20.5],
  [",5", 0.5],
  ["7", 7],
  ["-3", -3],
  ["", undefined],
  ["4.810,5", null],
  ["4,810.5", null],
  ["1e9", null],
  ["abc", null],
] as const)("%s is %s", (text, value) => expect(decimalIn(text)).toBe(value));

test("what is wrong is said, with what was found", () => {
  expect(decimalFault("2,5", 0, Infinity, false)).toBe("");
  expect(decimalFault("", 0, 1, false)).toBe("");
  expect(decimalFault("", 0, 1, true)).toBe("found nothing, expected a number from 0 to 1");
  expect(decimalFault("4.810,5", 0, 1, false)).toBe("found 4.810,5, expected a number such as 2.5 or 2,5");
  expect(decimalFault("-3", 0, Infinity, false)).toBe("found -3, expected a number of at least 0");
  expect(decimalFault("61", 0, 60, false)).toBe("found 61, expected a number from 0 to 60");
});
