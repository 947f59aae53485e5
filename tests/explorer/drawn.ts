/** What the marks of a plot draw. */
import type { Mark, PlotOptions } from "@observablehq/plot";

/** The rows of each mark, in the order they are drawn. */
export const drawnBy = (options: PlotOptions): unknown[][] =>
  (options.marks as Mark[]).map((mark) => [
    ...((mark as unknown as { data: Iterable<unknown> | null }).data ?? []),
  ]);
