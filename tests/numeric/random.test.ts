import { expect, test } from "vitest";
import { seededUniform } from "../../engine/numeric/random.js";

const take = (seed: number, n: number): number[] => Array.from({ length: n }, seededUniform(seed));

test("the same seed gives the same numbers, another seed others", () => {
  expect(take(7, 20)).toEqual(take(7, 20));
  expect(take(7, 20).filter((x, k) => x === take(8, 20)[k])).toEqual([]);
});

test("two sequences of one seed do not disturb each other", () => {
  const [one, two] = [seededUniform(3), seededUniform(3)];
  one();
  expect([two(), two()]).toEqual([take(3, 2)[0], one()]);
});

test("numbers are uniform in [0, 1): the mean and every tenth are as they should be, within 4 standard errors", () => {
  const n = 20_000;
  for (const seed of [0, 1, 2, 1000]) {
    const numbers = take(seed, n);
    expect(Math.min(...numbers)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...numbers)).toBeLessThan(1);
    const mean = numbers.reduce((sum, x) => sum + x, 0) / n;
    expect(Math.abs(mean - 0.5)).toBeLessThan(4 * Math.sqrt(1 / 12 / n)); // variance of a uniform: 1/12
    for (let tenth = 0; tenth < 10; tenth++) {
      const share = numbers.filter((x) => Math.floor(10 * x) === tenth).length / n;
      expect(Math.abs(share - 0.1)).toBeLessThan(4 * Math.sqrt((0.1 * 0.9) / n));
    }
  }
});

test("the first numbers of neighbouring seeds are spread over the whole range", () => {
  const first = Array.from({ length: 100 }, (_, seed) => take(seed, 1)[0]!);
  const tenths = new Set(first.map((x) => Math.floor(10 * x)));
  expect(tenths.size).toBe(10);
});
