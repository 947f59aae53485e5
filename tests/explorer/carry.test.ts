import fc from "fast-check";
import jsQR from "jsqr";
import { describe, expect, test } from "vitest";
import { framesOf, Gathering } from "../../explorer/carry/frames.js";
import { packed, unpacked } from "../../explorer/carry/packed.js";
import { pathOf, squaresOf } from "../../explorer/carry/squares.js";
import { picture } from "./codes.js";
import { ticket } from "./small.js";

const bytes = fc.uint8Array({ minLength: 0, maxLength: 3000 });
const read = (frames: readonly Uint8Array[]) => {
  const gathering = new Gathering();
  for (const frame of frames) gathering.add(frame);
  return gathering.whole();
};

describe("a ticket in codes", () => {
  test("is whole again from its frames in any order, each as often as it was seen", () => {
    fc.assert(
      fc.property(bytes, fc.infiniteStream(fc.nat()), (data, order) => {
        const frames = framesOf(data);
        const twice = [...frames, ...frames].map((frame) => [order.next().value, frame] as const);
        const shuffled = twice.sort(([a], [b]) => a - b).map(([, frame]) => frame);
        expect(read(shuffled)).toEqual(data);
      }),
      { numRuns: 100, seed: 5 },
    );
  });

  test("is not whole while a frame is missing, nor when one was misread", () => {
    const frames = framesOf(Uint8Array.from({ length: 1000 }, (_, i) => i % 251));
    expect(frames.length).toBeGreaterThan(2);
    expect(read(frames.slice(1))).toBeNull();
    const misread = frames.map((frame, i) =>
      i === 1 ? frame.map((b, at) => (at === 50 ? b ^ 1 : b)) : frame,
    );
    expect(read(misread)).toBeNull();
    expect(read([...frames.slice(1), ...misread.slice(0, 1)])).not.toBeNull();
  });

  test("begins anew when another ticket is held up, and takes no notice of other codes", () => {
    const [one, other] = [framesOf(new Uint8Array(700).fill(1)), framesOf(new Uint8Array(900).fill(2))];
    const gathering = new Gathering();
    expect(gathering.add(new TextEncoder().encode("https://elsewhere.example"))).toBe(false);
    expect(gathering.add(new Uint8Array())).toBe(false);
    gathering.add(one[0]!);
    for (const frame of other) gathering.add(frame);
    expect(gathering.whole()).toEqual(new Uint8Array(900).fill(2));
  });

  test("that is too long for codes is refused in words", () => {
    expect(() => framesOf(new Uint8Array(90_000))).toThrow("carry it as a file");
  });

  test("is read from the squares as they are drawn", async () => {
    const text = JSON.stringify(ticket);
    const frames = framesOf(await packed(text)).map((frame) => {
      const { pixels, side } = picture(squaresOf(frame), 3);
      return Uint8Array.from(jsQR(pixels, side, side)!.binaryData);
    });
    expect(await unpacked(read(frames)!)).toBe(text);
  });

  test("is drawn as one path that covers the dark squares", () => {
    const squares = squaresOf(framesOf(new Uint8Array(10))[0]!);
    const drawn = [...pathOf(squares).matchAll(/h(\d+)v/g)].reduce((sum, [, run]) => sum + Number(run), 0);
    let dark = 0;
    for (let row = 0; row < squares.size; row++)
      for (let column = 0; column < squares.size; column++) dark += Number(squares.isDark(row, column));
    expect(drawn).toBe(dark);
  });
});
