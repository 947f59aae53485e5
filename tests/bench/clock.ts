/** Median of the milliseconds of several runs. */
export function median(run: () => void, times: number): number {
  const taken = Array.from({ length: times }, () => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  return taken.sort((x, y) => x - y)[Math.floor(times / 2)]!;
}

/** A table for people: a head and rows of equal length. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = head.map((h, k) => Math.max(h.length, ...rows.map((r) => r[k]!.length)));
  const line = (cells: readonly string[]) =>
    cells.map((c, k) => (k === 0 ? c.padEnd(widths[k]!) : c.padStart(widths[k]!))).join("  ");
  return [line(head), ...rows.map(line)].join("\n");
}
