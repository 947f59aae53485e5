import * as Plot from "@observablehq/plot";
import { percent } from "../bench/format.js";
import { INK, LINE, SOFT } from "./palette.js";
import type { ReliabilityRow } from "./tuned-rows.js";

const MOST_WIDE = 460;

/** What was said against how often it was so: on the line, chances mean what they say. Before: hollow; after: filled. */
export function reliability(rows: readonly ReliabilityRow[], width: number): Plot.PlotOptions {
  const [before, after] = (["before", "after"] as const).map((when) =>
    rows.filter((row) => row.when === when),
  );
  const across = { x: "forecast", y1: "low", y2: "high" } as const;
  const at = { x: "forecast", y: "happened" } as const;
  const axis = { ticks: [0, 0.25, 0.5, 0.75, 1], tickFormat: percent, tickSize: 0, fill: SOFT, fontSize: 11 };
  return {
    width: Math.min(width, MOST_WIDE),
    height: Math.min(width, MOST_WIDE),
    marginLeft: 52,
    marginBottom: 40,
    marginTop: 32,
    marginRight: 16,
    ariaLabel: "Chances said against how often it was so; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { domain: [0, 1] },
    y: { domain: [0, 1] },
    marks: [
      Plot.gridX([0, 0.25, 0.5, 0.75, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.gridY([0, 0.25, 0.5, 0.75, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX({ ...axis, label: "said", labelAnchor: "center", labelArrow: "none" }),
      Plot.axisY({ ...axis, label: "was so", labelAnchor: "top", labelArrow: "none" }),
      Plot.link([0], { x1: 0, y1: 0, x2: 1, y2: 1, stroke: SOFT, strokeDasharray: "2 4" }),
      Plot.ruleX(before!, { ...across, dx: -4, stroke: SOFT, strokeDasharray: "3 3" }),
      Plot.dot(before!, { ...at, dx: -4, r: 4, stroke: SOFT, strokeWidth: 1.75, fill: "var(--paper)" }),
      Plot.ruleX(after!, { ...across, dx: 4, stroke: INK, strokeWidth: 2 }),
      Plot.dot(after!, { ...at, dx: 4, r: 4.5, fill: INK }),
    ],
  };
}
