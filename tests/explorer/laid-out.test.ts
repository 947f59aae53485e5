/** The drawing of a machine: as the catalog has it, with nothing too small to touch. */
import { expect, test } from "vitest";
import { laidOut } from "../../explorer/bench/fitted/laid-out.js";
import { CATALOGS } from "../../explorer/store/catalogs.js";

const boxes = CATALOGS.find(({ id }) => id === "desktop")!.positions.map(({ id, at }) => ({ id, ...at! }));
const drawn = (width: number) => {
  const { aspect, places } = laidOut(boxes, width);
  const pixels = boxes.map(({ id }) => {
    const { x, y, w, h } = places.get(id)!;
    return { id, x: x * width, y: (y * width) / aspect, w: w * width, h: (h * width) / aspect };
  });
  return { aspect, pixels };
};

test.each([320, 390, 576])("in %i pixels every place can be touched, and all lies in the frame", (width) => {
  const { aspect, pixels } = drawn(width);
  for (const { x, y, w, h } of pixels) {
    expect(Math.min(w, h)).toBeGreaterThan(43.99);
    expect(Math.min(x, y, width - x - w, width / aspect - y - h)).toBeGreaterThan(0);
  }
});

test.each([10, 200, 320, 390, 1200])("in %i pixels what lies beside or within lies so still", (width) => {
  const { pixels } = drawn(width);
  const order = (
    of: readonly { x: number; y: number; w: number; h: number }[],
    k: "x" | "y",
    size: "w" | "h",
  ) => of.map((a) => of.map((b) => [Math.sign(round(a[k] - b[k])), Math.sign(round(a[k] + a[size] - b[k]))]));
  expect(order(pixels, "x", "w")).toEqual(order(boxes, "x", "w"));
  expect(order(pixels, "y", "h")).toEqual(order(boxes, "y", "h"));
});
const round = (value: number) => Math.round(value * 1e6);

test("where there is room the drawing is the catalog's, to scale", () => {
  const { aspect, pixels } = drawn(1200);
  expect(aspect).toBeCloseTo(120 / 90, 12);
  for (const [i, { x, y, w, h }] of pixels.entries())
    expect([x, y, w, h].map((v) => v / 10)).toEqual(
      (["x", "y", "w", "h"] as const).map((k) => expect.closeTo(boxes[i]![k], 9) as number),
    );
});

test("a name is written downwards where its place is narrow", () => {
  const upright = (width: number) =>
    boxes.filter(({ id }) => laidOut(boxes, width).places.get(id)!.upright).map(({ id }) => id);
  expect(upright(1200)).toEqual(["cooler", "A1", "A2", "B1", "B2"]);
  expect(upright(320)).toContain("processor");
});
