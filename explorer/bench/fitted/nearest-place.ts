/** Which place an arrow key leads to. Pure. */
export interface Box {
  id: string;
  x: number;
  y: number;
  w: number;
  h: number;
}

const WAYS: Record<string, [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** The nearest box whose middle lies that way; what lies aside counts twice. Null where there is none. */
export function nearestPlace(key: string, from: Box, boxes: readonly Box[]): string | null {
  const way = WAYS[key];
  if (!way) return null;
  const middle = ({ x, y, w, h }: Box) => [x + w / 2, y + h / 2] as const;
  const [x, y] = middle(from);
  let best: { id: string; far: number } | null = null;
  for (const box of boxes) {
    const [bx, by] = middle(box);
    const along = (bx - x) * way[0] + (by - y) * way[1];
    const aside = Math.abs((bx - x) * way[1]) + Math.abs((by - y) * way[0]);
    const far = along + 2 * aside;
    if (box.id !== from.id && along > 0 && (best === null || far < best.far)) best = { id: box.id, far };
  }
  return best?.id ?? null;
}
