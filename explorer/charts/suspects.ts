import * as Plot from "@observablehq/plot";
import { percent } from "../bench/format.js";
import { hue, INK, LINE, SOFT } from "./palette.js";
import type { SuspectRow } from "./rows.js";

/** Height of a row in pixels: a row is also a target for a finger. */
export const PITCH = 44;
const RIGHT = 64;
const BAR = { insetTop: 25, insetBottom: 8 };

/**
 * Chance of each suspect with its interval (line) and where it stood before this entry (tick); rows in the order given.
 * The name stands above its bar, the figure and the group to the right.
 */
export function suspects(rows: readonly SuspectRow[], width: number): Plot.PlotOptions {
  const middle = (BAR.insetTop - BAR.insetBottom) / 2;
  const right = { x: 1, textAnchor: "start", dx: 8 } as const;
  const known = rows.filter((row) => row.low !== null);
  return {
    width,
    height: rows.length * PITCH + 20,
    marginLeft: 2,
    marginRight: RIGHT,
    marginTop: 0,
    marginBottom: 20,
    ariaLabel: "How likely each suspect is; the same figures stand in the table below",
    style: { fontSize: "14px", background: "none", color: INK },
    x: { domain: [0, 1], label: null, axis: null },
    y: { domain: rows.map((row) => row.id), axis: null, padding: 0 },
    color: { type: "identity" },
    marks: [
      Plot.gridX([0, 0.25, 0.5, 0.75, 1], { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX([0, 0.5, 1], {
        tickFormat: (d: number) => `${100 * d} %`,
        tickSize: 0,
        fill: SOFT,
        fontSize: 11,
      }),
      Plot.barX(rows, {
        x: "p",
        y: "id",
        fill: (d: SuspectRow) => hue(d.group),
        stroke: INK,
        strokeWidth: 0.75,
        rx2: 2,
        ...BAR,
      }),
      Plot.ruleY(known, {
        x1: "low",
        x2: "high",
        y: "id",
        dy: middle,
        stroke: INK,
        strokeWidth: 1.5,
        marker: "tick",
      }),
      Plot.tickX(
        rows.filter((row) => row.before !== null),
        {
          x: "before",
          y: "id",
          stroke: SOFT,
          strokeWidth: 3,
          insetTop: BAR.insetTop - 1,
          insetBottom: BAR.insetBottom - 4,
        },
      ),
      Plot.text(rows, {
        x: 0,
        y: "id",
        text: "name",
        textAnchor: "start",
        dy: -8,
        fill: INK,
        lineWidth: (width - RIGHT) / 16,
        textOverflow: "ellipsis",
      }),
      Plot.text(rows, {
        ...right,
        y: "id",
        text: (d: SuspectRow) => percent(d.p),
        dy: -7,
        fill: INK,
        fontSize: 16,
        fontWeight: 650,
      }),
      Plot.text(rows.filter(grouped), {
        ...right,
        y: "id",
        text: "group",
        dy: middle,
        fill: SOFT,
        fontSize: 12,
      }),
    ],
  };
}

const grouped = (row: SuspectRow) => row.group !== "none" && row.group !== "unlisted";
