import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";

export interface LessonPoint {
  x: number;
  name: string;
  value: number;
}

/** Never by hue alone: the second line is dashed, the third dotted. */
const LOOKS = [
  { stroke: INK, dash: "none" },
  { stroke: "var(--part)", dash: "7 4" },
  { stroke: "var(--supply)", dash: "2 4" },
] as const;

const [HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [220, 46, 14, 16, 40];

/** Chances along a control, one line for each figure, with a rule where the control stands. */
export function lessonLines(
  points: readonly LessonPoint[],
  { now, label }: { now: number | null; label: string },
  width: number,
): Plot.PlotOptions {
  const names = [...new Set(points.map((point) => point.name))];
  const largest = Math.max(1e-9, ...points.map((point) => point.value));
  return {
    width,
    height: HEIGHT,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: `${names.join(", ")}, by ${label}; the same figures stand in the table below`,
    style: { fontSize: "12px", background: "none", color: INK },
    x: { label: null },
    y: { domain: [0, largest <= 0.5 ? 0.5 : 1], label: null },
    marks: [
      Plot.gridY({ ticks: 4, stroke: LINE, strokeOpacity: 1 }),
      Plot.axisY({
        ticks: 4,
        tickFormat: (d: number) => `${Math.round(100 * d)} %`,
        tickSize: 0,
        fill: SOFT,
      }),
      Plot.axisX({
        ticks: Math.max(2, Math.floor(width / 70)),
        tickSize: 0,
        fill: SOFT,
        label: label.toLowerCase(),
        labelAnchor: "center",
        labelArrow: "none",
      }),
      ...(now === null ? [] : [Plot.ruleX([now], { stroke: SOFT, strokeDasharray: "2 3" })]),
      ...names.map((name, k) =>
        Plot.lineY(
          points.filter((point) => point.name === name),
          {
            x: "x",
            y: "value",
            stroke: LOOKS[k % LOOKS.length]!.stroke,
            strokeDasharray: LOOKS[k % LOOKS.length]!.dash,
            strokeWidth: 2.25,
          },
        ),
      ),
      Plot.dot(
        points.filter((point) => point.x === now),
        { x: "x", y: "value", r: 4, fill: INK },
      ),
    ],
  };
}

/** How each line is drawn, for the key beside it. */
export const lookOf = (k: number): { stroke: string; dash: string } => LOOKS[k % LOOKS.length]!;
