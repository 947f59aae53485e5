import { expect, test } from "vitest";
import { readingValue } from "../../engine/ticket/units.js";

test.each<[string | number, string, number]>([
  [4.81, "V", 4.81],
  ["4.81", "V", 4.81],
  [" -3.30 ", "V", -3.3],
  ["4.81e0 V", "V", 4.81],
  ["4810 mV", "V", 4.81],
  ["5V", "V", 5],
  ["0.5 s", "ms", 500],
  ["3 kohm", "ohm", 3000],
  ["25 degC", "degC", 25],
  ["77 degF", "degC", 25], // (77 − 32) · 5/9
  ["300 K", "degC", 26.85],
])("%j on an instrument in %s is %d", (value, unit, number) => {
  expect(readingValue(value, unit)).toBeCloseTo(number, 12);
});

test.each<[string | number, string]>([
  ["4810 A", "V"], // another kind of quantity
  ["25 degC", "V"],
  ["5 furlongs", "V"],
  ["", "V"],
  ["five", "V"],
  ["volts", "V"], // a unit without a number
  ["4,81 V", "V"], // a decimal comma is not guessed at
  ["3 V 3 V", "V"],
  ["5 V; import", "V"],
  ["0x10 V", "V"],
  ["NaN", "V"],
  [NaN, "V"],
  [Infinity, "V"],
  ["1e400 V", "V"],
  ["1e999", "V"],
  ["5 V", "no-such-unit"],
])("%j on an instrument in %s is no reading", (value, unit) => {
  expect(readingValue(value, unit)).toBeNull();
});
