import * as Plot from "@observablehq/plot";
import { hue, INK, LINE, lineHue, SOFT } from "./palette.js";
import { spread, type BeliefPoint } from "./rows.js";

const [HEIGHT, TOP, BOTTOM] = [190, 10, 34];
/** Room for names: as much as a narrow page can spare. */
const namesWidth = (width: number) => Math.min(260, 0.42 * width);

/** P(it was a cause | record so far) after every entry, one line for each suspect, named at its end. */
export function beliefThrough(points: readonly BeliefPoint[], width: number): Plot.PlotOptions {
  const last = points.filter((point) => point.entry === points.at(-1)?.entry);
  const y = (p: number) => TOP + (1 - p) * (HEIGHT - TOP - BOTTOM);
  const at = spread(
    last.map((point) => y(point.p)),
    17,
    TOP,
    HEIGHT - BOTTOM,
  );
  const right = namesWidth(width);
  const entries = [...new Set(points.map((point) => point.entry))];
  return {
    width,
    height: HEIGHT,
    marginLeft: 40,
    marginRight: right,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel:
      "How likely the leading suspects were after every entry; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { type: "point", domain: entries, label: null, padding: 0.2 },
    y: { domain: [0, 1], label: null },
    color: { type: "identity" },
    marks: [
      Plot.gridY([0, 0.5, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisY([0, 0.5, 1], { tickFormat: (d: number) => `${100 * d} %`, tickSize: 0, fill: SOFT }),
      Plot.axisX({
        ticks: everyNth(entries, (width - right - 40) / 22),
        tickSize: 0,
        fill: SOFT,
        label: "entry",
        labelAnchor: "center",
        labelArrow: "none",
      }),
      ...dashes.map(({ groups, dash }) =>
        Plot.lineY(
          points.filter((d) => groups(d.group)),
          {
            x: "entry",
            y: "p",
            z: "id",
            stroke: (d: BeliefPoint) => lineHue(d.group),
            strokeWidth: 2.25,
            strokeDasharray: dash,
          },
        ),
      ),
      Plot.dot(last, {
        x: "entry",
        y: "p",
        fill: (d: BeliefPoint) => lineHue(d.group),
        r: 4,
        stroke: INK,
        strokeWidth: 0.75,
      }),
      ...last.flatMap((point, i) => {
        const place = { x: "entry", y: "p", dy: at[i]! - y(point.p) } as const;
        return [
          Plot.dot([point], {
            ...place,
            dx: 18,
            r: 4,
            symbol: "square",
            fill: hue(point.group),
            stroke: INK,
            strokeWidth: 0.75,
          }),
          Plot.text([point], {
            ...place,
            dx: 28,
            text: "name",
            textAnchor: "start",
            fill: INK,
            lineWidth: (right - 30) / 12,
            textOverflow: "ellipsis",
          }),
        ];
      }),
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
