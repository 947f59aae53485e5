import * as Plot from "@observablehq/plot";
import { oneIn, percent } from "../bench/format.js";
import { hue, INK, LINE, SOFT } from "./palette.js";
import type { RateRow, Rates } from "./rate-rows.js";

const PITCH = 78;
const SOFT_END = 0.62;

/** A hill for each suspect, as high as its rate is likely, dotted before the record; under it the mean and the 90 % interval. */
export function rateDensities({ rows, points }: Rates, width: number): Plot.PlotOptions {
  const groups = new Map(rows.map((row) => [row.id, row.group]));
  const line = { fy: "id", y: -0.09 } as const;
  return {
    width,
    height: rows.length * PITCH + 40,
    marginLeft: 8,
    marginRight: 12,
    marginTop: 2,
    marginBottom: 34,
    ariaLabel:
      "How often each suspect shows, as far as the record tells; the figures stand in the table below",
    style: { fontSize: "13px", background: "none", color: INK },
    x: { domain: [0, 1], label: null },
    y: { domain: [-0.2, 1 / SOFT_END], axis: null },
    fy: { domain: rows.map((row) => row.id), axis: null, padding: 0 },
    color: { type: "identity" },
    marks: [
      Plot.gridX([0, 0.25, 0.5, 0.75, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX([0, 0.25, 0.5, 0.75, 1], {
        tickFormat: (d: number) => `${100 * d} %`,
        tickSize: 0,
        fill: SOFT,
        label: "chance to show at one start; dotted: before",
        labelAnchor: "center",
        labelArrow: "none",
      }),
      Plot.areaY(points, {
        x: "rate",
        y: "height",
        z: "id",
        fy: "id",
        curve: "monotone-x",
        fill: (d: { id: string }) => hue(groups.get(d.id)!),
        fillOpacity: 0.55,
      }),
      Plot.lineY(points, {
        x: "rate",
        y: "height",
        z: "id",
        fy: "id",
        curve: "monotone-x",
        stroke: INK,
        strokeWidth: 1.25,
      }),
      Plot.lineY(points, {
        x: "rate",
        y: "before",
        z: "id",
        fy: "id",
        curve: "monotone-x",
        stroke: SOFT,
        strokeWidth: 1.25,
        strokeDasharray: "2 3",
      }),
      Plot.ruleY(rows, { ...line, x1: "low", x2: "high", stroke: INK, strokeWidth: 1.5, marker: "tick" }),
      Plot.dot(rows, { ...line, x: "mean", r: 4, fill: INK }),
      Plot.text(rows, {
        fy: "id",
        frameAnchor: "top-left",
        textAnchor: "start",
        text: "name",
        dy: 4,
        fill: INK,
        stroke: "var(--paper)",
        strokeWidth: 3,
        lineWidth: (width - 125) / 13,
        textOverflow: "ellipsis",
      }),
      Plot.text(rows, {
        fy: "id",
        frameAnchor: "top-right",
        textAnchor: "end",
        text: (d: RateRow) => `${oneIn(d.mean)}${d.hard >= 0.01 ? `\nevery start: ${percent(d.hard)}` : ""}`,
        dy: 4,
        fill: INK,
        stroke: "var(--paper)",
        strokeWidth: 3,
        fontSize: 12,
      }),
    ],
  };
}
