import * as Plot from "@observablehq/plot";
import { percent } from "../bench/format.js";
import { HARDLY, type ExposureRow } from "./exposure-rows.js";
import { hue, INK, LINE, SOFT } from "./palette.js";

/** In words how much a start exercises a suspect. */
export function exposed(exposure: number): string {
  if (exposure === 0) return "not at all";
  if (exposure < HARDLY) return "hardly";
  return `× ${exposure < 0.95 || exposure > 1.05 ? exposure.toPrecision(2) : "1"}`;
}

const PITCH = 38;
const BAR = { insetTop: 21, insetBottom: 6 };

/** How much the next start exercises each leading suspect; the line stands at a usual start. */
export function exposures(rows: readonly ExposureRow[], width: number): Plot.PlotOptions {
  const most = Math.max(1.25, ...rows.map((row) => row.exposure));
  return {
    width,
    height: rows.length * PITCH + 4,
    marginLeft: 2,
    marginRight: 110,
    marginTop: 0,
    marginBottom: 4,
    ariaLabel: "How much the next start exercises each leading suspect; the figures stand in the table below",
    style: { fontSize: "13px", background: "none", color: INK },
    x: { domain: [0, most], axis: null },
    y: { type: "band", domain: rows.map((row) => row.id), axis: null, padding: 0 },
    color: { type: "identity" },
    marks: [
      Plot.rect(rows, { x1: 0, x2: most, y: "id", fill: "none", stroke: LINE, ...BAR }),
      Plot.rect(rows, {
        x1: 0,
        x2: "exposure",
        y: "id",
        fill: (d: ExposureRow) => hue(d.group),
        stroke: INK,
        strokeWidth: 0.75,
        ...BAR,
      }),
      Plot.tickX(rows, {
        x: 1,
        y: "id",
        stroke: INK,
        strokeWidth: 1.5,
        strokeDasharray: "2 2",
        insetTop: BAR.insetTop - 3,
        insetBottom: BAR.insetBottom - 3,
      }),
      Plot.text(rows, {
        x: 0,
        y: "id",
        text: "name",
        textAnchor: "start",
        dy: -8,
        fill: INK,
        lineWidth: (width - 110) / 13.5,
        textOverflow: "ellipsis",
      }),
      Plot.text(rows, {
        x: most,
        y: "id",
        text: (d: ExposureRow) => percent(d.p),
        textAnchor: "start",
        dx: 8,
        dy: -8,
        fill: SOFT,
      }),
      Plot.text(rows, {
        x: most,
        y: "id",
        text: (d: ExposureRow) => exposed(d.exposure),
        textAnchor: "start",
        dx: 8,
        dy: 8,
        fill: INK,
        fontWeight: 600,
      }),
    ],
  };
}
