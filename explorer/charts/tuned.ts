import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";
import { saidOf, tickOf, type Figure, type TunedRow } from "./tuned-rows.js";

const PITCH = 46;
const LEFT = 12;
const RIGHT = 74;
/** With fewer a phone would show 0 % and 50 % alone where the scale ends just short of 100 %. */
const TICKS = 4;

/** Figures before (hollow, dashed) and after tuning (filled), each with its 5 % to 95 % interval, on one scale. */
export function tuned(rows: readonly TunedRow[], figure: Figure, width: number): Plot.PlotOptions {
  const most = Math.max(...rows.map((row) => row.high), 1e-9);
  const say = saidOf(figure);
  const [before, after] = (["before", "after"] as const).map((when) =>
    rows.filter((row) => row.when === when),
  );
  const place = { before: 5, after: 13 };
  return {
    width,
    height: after!.length * PITCH + 24,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginTop: 0,
    marginBottom: 24,
    ariaLabel: "Figures before and after tuning; the same figures stand in the table below",
    style: { fontSize: "14px", background: "none", color: INK },
    x: { domain: [0, most], label: null },
    y: { domain: after!.map((row) => row.id), axis: null, padding: 0.5 },
    marks: [
      Plot.gridX({ ticks: TICKS, stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX({ ticks: TICKS, tickFormat: tickOf(figure), tickSize: 0, fill: SOFT, fontSize: 11 }),
      Plot.ruleY(before!, {
        x1: "low",
        x2: "high",
        y: "id",
        dy: place.before,
        stroke: SOFT,
        strokeDasharray: "3 3",
      }),
      Plot.dot(before!, {
        x: "value",
        y: "id",
        dy: place.before,
        r: 4,
        stroke: SOFT,
        strokeWidth: 1.75,
        fill: "var(--paper)",
      }),
      Plot.ruleY(after!, { x1: "low", x2: "high", y: "id", dy: place.after, stroke: INK, strokeWidth: 2 }),
      Plot.dot(after!, { x: "value", y: "id", dy: place.after, r: 4.5, fill: INK }),
      Plot.text(after!, {
        ...{ x: 0, y: "id", text: "name", textAnchor: "start", dy: -9, fill: INK },
        ...{ lineWidth: (width - LEFT - RIGHT) / 15, textOverflow: "ellipsis" },
      }),
      Plot.text(after!, {
        ...{
          x: most,
          y: "id",
          text: (d: TunedRow) => say(d.value),
          textAnchor: "start",
          dx: 8,
          dy: place.after,
        },
        ...{ fill: INK, fontWeight: 650, fontSize: 13 },
      }),
      Plot.text(before!, {
        ...{ x: most, y: "id", text: (d: TunedRow) => say(d.value), textAnchor: "start", dx: 8, dy: -4 },
        ...{ fill: SOFT, fontSize: 12 },
      }),
    ],
  };
}
