import { describe, expect, test } from "vitest";
import {
  logUrn,
  OverlapError,
  unlistedPredictive,
  addStarts,
  emptyUnlisted,
} from "../../engine/belief/unlisted.js";

const urn = (counts: number[], ...partly: [number[], number, number][]) => ({
  counts: Float64Array.from(counts),
  partly: partly.map(([wanted, n, trust]) => ({ wanted: Uint8Array.from(wanted), n, trust })),
});

describe("starts of which only a set of outcomes is known", () => {
  // the story: each start was once split whole, counting its trust; fourteen reports of nothing at all then raised
  // `unlisted` from 5 % to 99.8 %
  test("that could have been anything say nothing, at any trust", () => {
    for (const trust of [1, 0.5, 0.3])
      expect(logUrn(urn([0, 0, 0], [[1, 1, 1], 14, trust]))).toBeCloseTo(0, 12);
  });

  test("that did not come up, at trust ½, are E[(1 − θ)^7] of a Beta", () => {
    // θ_stop ~ Beta(2/3, 1/3): Γ(2/3 + 7) Γ(1) / (Γ(2/3) Γ(8)) = Π_{k<7} (2/3 + k)/(1 + k)
    const hand = Array.from({ length: 7 }, (_, k) => (2 / 3 + k) / (1 + k)).reduce((x, y) => x * y, 1);
    expect(logUrn(urn([0, 0, 0], [[1, 1, 0], 14, 0.5]))).toBeCloseTo(Math.log(hand), 12);
  });

  test("are the sum over the outcomes they may have had, nested or overlapping", () => {
    const whole = (counts: number[]) => Math.exp(logUrn(urn(counts)));
    // {0, 1} and {1, 2}: 0+1, 0+2, 1+1, 1+2
    const hand = whole([1, 1, 0]) + whole([1, 0, 1]) + whole([0, 2, 0]) + whole([0, 1, 1]);
    expect(Math.exp(logUrn(urn([0, 0, 0], [[1, 1, 0], 1, 1], [[0, 1, 1], 1, 1])))).toBeCloseTo(hand, 12);
  });

  test("whole ones beside a tempered set that they overlap are written out", () => {
    const tempered: [number[], number, number] = [[1, 1, 0], 1, 0.5];
    const hand = [[0, 1, 0], [0, 0, 1]].reduce((sum, counts) => sum + Math.exp(logUrn(urn(counts, tempered))), 0); // prettier-ignore
    expect(Math.exp(logUrn(urn([0, 0, 0], tempered, [[0, 1, 1], 1, 1])))).toBeCloseTo(hand, 12);
  });

  test("tempered ones whose sets overlap are refused, not guessed at", () => {
    expect(() => logUrn(urn([0, 0, 0], [[1, 1, 0], 1, 0.5], [[0, 1, 1], 1, 0.5]))).toThrow(OverlapError);
  });
});

test("the chance of stops is that of every outcome but clean, also after partly seen starts", () => {
  const seen = [{ wanted: Uint8Array.of(1, 1, 0), n: 3 }];
  const predict = unlistedPredictive(addStarts(emptyUnlisted(3), "here", seen, 1), "here");
  expect(predict([1, 0])).toBeCloseTo(predict([1, 0, 0]) + predict([0, 1, 0]), 12);
  expect(predict([1, 0]) + predict([0, 1])).toBeCloseTo(1, 12);
});
