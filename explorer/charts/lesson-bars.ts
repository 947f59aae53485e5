import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";

export interface LessonBar {
  name: string;
  value: number;
  said: string;
}

const [ROW, TOP, BOTTOM] = [30, 6, 26];

/** Chances side by side, in the order given, each with its figure. */
export function lessonBars(bars: readonly LessonBar[], width: number): Plot.PlotOptions {
  const left = Math.min(200, 0.42 * width);
  return {
    width,
    height: bars.length * ROW + TOP + BOTTOM,
    marginLeft: left,
    marginRight: 52,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: "Chances of the suspects; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { domain: [0, 1], label: null },
    y: { domain: bars.map((bar) => bar.name), label: null },
    marks: [
      Plot.gridX([0, 0.5, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX([0, 0.5, 1], { tickFormat: (d: number) => `${100 * d} %`, tickSize: 0, fill: SOFT }),
      Plot.axisY({ tickSize: 0, fill: INK, lineWidth: (left - 10) / 12, textOverflow: "ellipsis" }),
      Plot.barX(bars, {
        x: "value",
        y: "name",
        fill: "var(--part)",
        stroke: INK,
        strokeWidth: 0.75,
        insetTop: 5,
        insetBottom: 5,
      }),
      Plot.text(bars, {
        x: "value",
        y: "name",
        text: "said",
        textAnchor: "start",
        dx: 6,
        fill: INK,
        fontWeight: 650,
      }),
    ],
  };
}
