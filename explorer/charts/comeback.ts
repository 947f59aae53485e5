import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";
import { AS_IT_IS, BETTER, type ComebackRows } from "./rows.js";

const [HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [170, 44, 16, 14, 36];
/** Never by hue alone: what would be better is dashed. */
const LINES = [
  { where: AS_IT_IS, stroke: INK, dash: "none" },
  { where: BETTER, stroke: "var(--good)", dash: "7 4" },
] as const;

/** Chance of a comeback against further clean starts, with the limit, and a dot where it is met. */
export function comeback({ points, enough, limit }: ComebackRows, width: number): Plot.PlotOptions {
  const last = points.at(-1)?.n ?? 0;
  return {
    width,
    height: HEIGHT,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: "Chance of a comeback against further clean starts; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { domain: [0, last], label: null },
    y: { domain: [0, 1], label: null },
    marks: [
      Plot.gridY([0, 0.5, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisY([0, 0.5, 1], { tickFormat: (d: number) => `${100 * d} %`, tickSize: 0, fill: SOFT }),
      Plot.axisX({
        ticks: Math.max(2, Math.floor(width / 80)),
        tickSize: 0,
        fill: SOFT,
        label: "further clean starts",
        labelAnchor: "center",
        labelArrow: "none",
      }),
      Plot.ruleY([limit], { stroke: "var(--bad)", strokeWidth: 1.5, strokeDasharray: "2 3" }),
      ...LINES.map(({ where, stroke, dash }) =>
        Plot.lineY(
          points.filter((point) => point.where === where),
          { x: "n", y: "chance", stroke, strokeWidth: 2.25, strokeDasharray: dash },
        ),
      ),
      Plot.dot(enough, { x: "n", y: "chance", r: 4.5, fill: "var(--good)", stroke: INK, strokeWidth: 0.75 }),
      Plot.text(enough, { x: "n", y: "chance", text: "said", dy: -12, fill: INK, fontWeight: 650 }),
    ],
  };
}
