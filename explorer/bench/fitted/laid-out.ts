/**
 * Where the places of a drawing come to lie on the screen: as the catalog has them, but none too small to touch. Along an
 * axis the edges of the places keep their order, and nothing overlaps that did not; only the room between two edges
 * changes. Across, what is narrow is given what is wide can spare; down, the drawing grows. Pure.
 */
import type { Box } from "./nearest-place.js";

/** The frame that catalogs draw in. */
const FRAME = { w: 120, h: 90 };
/** Pixels of the smallest thing that is touched with certainty. */
const TOUCH = 44;
/** Pixels that a unit keeps when it has to give. */
const KEPT = 0.3;
/** Height over width from which a name is written downwards. */
const UPRIGHT = 1.4;

export interface LaidOut {
  /** width over height of the whole */
  aspect: number;
  /** in shares of the whole, by id */
  places: ReadonlyMap<string, Omit<Box, "id"> & { upright: boolean }>;
}

/** @param width  pixels that the drawing has */
export function laidOut(boxes: readonly Box[], width: number): LaidOut {
  const across = boxes.map(({ x, w }) => ({ from: x, to: x + w }));
  const down = boxes.map(({ y, h }) => ({ from: y, to: y + h }));
  const x = axis(across, FRAME.w, (held, units) => (width - held) / units);
  const y = axis(down, FRAME.h, () => width / FRAME.w);
  const [wide, high] = [x.get(FRAME.w)!, y.get(FRAME.h)!];
  const place = (box: Box) => {
    const [left, top] = [x.get(box.x)!, y.get(box.y)!];
    const [w, h] = [x.get(box.x + box.w)! - left, y.get(box.y + box.h)! - top];
    return { x: left / wide, y: top / high, w: w / wide, h: h / high, upright: h > UPRIGHT * w };
  };
  return { aspect: wide / high, places: new Map(boxes.map((box) => [box.id, place(box)])) };
}

interface Span {
  from: number;
  to: number;
}

/**
 * @param spans  of the places along the axis, in units of the frame
 * @param scale  pixels for each unit that is left, when so many pixels are held for what is small
 * @returns pixels by unit, for both ends of the axis and of every span
 */
function axis(
  spans: readonly Span[],
  units: number,
  scale: (held: number, units: number) => number,
  least = TOUCH,
): Map<number, number> {
  const edges = [...new Set([0, units, ...spans.flatMap(({ from, to }) => [from, to])])].sort(
    (a, b) => a - b,
  );
  const gaps = edges.slice(1).map((to, i) => ({ from: edges[i]!, to, held: null as number | null }));
  for (;;) {
    const free = gaps.filter((gap) => gap.held === null);
    const pixels = scale(sum(gaps.map((gap) => gap.held ?? 0)), sum(free.map(length)));
    if (free.length > 0 && pixels < KEPT && least > 0) return axis(spans, units, scale, least - 1); // so much there is not
    const shown = (gap: (typeof gaps)[number]) => gap.held ?? length(gap) * pixels;
    const small = spans
      .map((span) => gaps.filter((gap) => gap.from >= span.from && gap.to <= span.to))
      .filter((within) => within.some((gap) => gap.held === null) && sum(within.map(shown)) < least)
      .sort((a, b) => sum(a.map(shown)) - sum(b.map(shown)))[0];
    if (!small) return running(edges, gaps.map(shown));
    const open = small.filter((gap) => gap.held === null);
    const wanted = least - sum(small.map((gap) => gap.held ?? 0));
    const whole = sum(open.map(length));
    for (const gap of open) gap.held = (wanted * length(gap)) / whole;
  }
}

const length = ({ from, to }: Span) => to - from;
const sum = (numbers: readonly number[]) => numbers.reduce((all, one) => all + one, 0);

/** The sum of what comes before each edge. */
function running(edges: readonly number[], lengths: readonly number[]): Map<number, number> {
  let at = 0;
  return new Map(edges.map((edge, i) => [edge, (at += i === 0 ? 0 : lengths[i - 1]!)]));
}
