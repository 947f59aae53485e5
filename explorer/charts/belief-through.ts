import * as Plot from "@observablehq/plot";
import { INK, LINE, lineHue, SOFT } from "./palette.js";
import { spread, type BeliefPoint } from "./rows.js";

const [HEIGHT, TOP, BOTTOM, RIGHT] = [190, 10, 34, 150];

/** P(it was a cause | record so far) after every entry, one line for each suspect, named at its end. */
export function beliefThrough(points: readonly BeliefPoint[], width: number): Plot.PlotOptions {
  const last = points.filter((point) => point.entry === points.at(-1)?.entry);
  const y = (p: number) => TOP + (1 - p) * (HEIGHT - TOP - BOTTOM);
  const at = spread(last.map((point) => y(point.p)), 17, TOP, HEIGHT - BOTTOM);
  const entries = [...new Set(points.map((point) => point.entry))];
  return {
    width,
    height: HEIGHT,
    marginLeft: 40,
    marginRight: RIGHT,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: "How likely the leading suspects were after every entry; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { type: "point", domain: entries, label: null, padding: 0.2 },
    y: { domain: [0, 1], label: null },
    color: { type: "identity" },
    marks: [
      Plot.gridY([0, 0.5, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisY([0, 0.5, 1], { tickFormat: (d: number) => `${100 * d} %`, tickSize: 0, fill: SOFT }),
      Plot.axisX({ ticks: everyNth(entries, (width - 190) / 22), tickSize: 0, fill: SOFT, label: "entry", labelAnchor: "right", labelArrow: "none" }),
      ...dashes.map(({ groups, dash }) =>
        Plot.lineY(points.filter((d) => groups(d.group)), {
          x: "entry", y: "p", z: "id", stroke: (d: BeliefPoint) => lineHue(d.group), strokeWidth: 2.25, strokeDasharray: dash,
        }),
      ),
      Plot.dot(last, { x: "entry", y: "p", fill: (d: BeliefPoint) => lineHue(d.group), r: 4, stroke: INK, strokeWidth: 0.75 }),
      ...last.map((point, i) =>
        Plot.text([point], {
          x: "entry", y: "p", text: "name", dx: 10, dy: at[i]! - y(point.p), textAnchor: "start", fill: INK, lineWidth: 11, textOverflow: "ellipsis",
        }),
      ),
    ],
  };
}

/** Never by hue alone: the two that are no listed cause are dashed. */
const dashes = [
  { groups: (g: string) => g !== "none" && g !== "unlisted", dash: "none" },
  { groups: (g: string) => g === "none", dash: "6 4" },
  { groups: (g: string) => g === "unlisted", dash: "2 3" },
];

/** As many ticks as there is room for. */
const everyNth = (entries: readonly number[], room: number): number[] => {
  const step = Math.max(1, Math.ceil(entries.length / Math.max(1, room)));
  return entries.filter((_, i) => i % step === 0);
};
