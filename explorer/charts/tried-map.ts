import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";
import { CLEAN, UNSEEN, type Tried, type TriedCell } from "./tried-rows.js";

const PITCH = 58;
const NARROW = 620;
/** Largest circle, in pixels. */
const [MOST, MOST_NARROW] = [15, 8];

/** Setups down, outcomes across in the order the machine passes them; a circle's area is the number of starts. */
export function triedMap({ setups, outcomes, cells }: Tried, width: number): Plot.PlotOptions {
  const names = new Map(outcomes.map(({ id, name }) => [id, name]));
  const narrow = width < NARROW;
  const below = { x: "outcome", y: "setup", dy: 10 } as const;
  return {
    width,
    height: setups.length * PITCH + (narrow ? 84 : 34),
    marginLeft: 4,
    marginRight: narrow ? 34 : 4,
    marginTop: narrow ? 78 : 28,
    marginBottom: 6,
    ariaLabel: "How often each outcome was seen in each setup; the same figures stand in the table below",
    style: { fontSize: "13px", background: "none", color: INK },
    x: { type: "point", domain: outcomes.map(({ id }) => id), padding: 0.5, label: null, axis: null },
    y: { type: "band", domain: setups, padding: 0, axis: null },
    r: { range: [0, narrow ? MOST_NARROW : MOST], domain: [0, Math.max(4, ...cells.map(({ n }) => n))] },
    color: { type: "identity" },
    marks: [
      Plot.axisX({
        anchor: "top",
        tickFormat: (id: string) => names.get(id) ?? id,
        tickSize: 0,
        tickRotate: narrow ? -50 : 0,
        fill: INK,
        fontSize: 12,
      }),
      Plot.ruleY(setups, { y: (d: string) => d, stroke: LINE, dy: -PITCH / 2 }),
      Plot.dot(cells, {
        ...below,
        r: "n",
        fill: (d: TriedCell) =>
          d.outcome === CLEAN ? "var(--good-wash)" : d.outcome === UNSEEN ? "url(#hatch)" : "var(--bad)",
        stroke: (d: TriedCell) => (d.outcome === CLEAN ? "var(--good)" : "var(--bad)"),
        strokeWidth: 1.5,
        symbol: (d: TriedCell) => (d.outcome === CLEAN ? "circle" : "square"),
      }),
      Plot.text(cells, {
        ...below,
        dx: (narrow ? MOST_NARROW : MOST) + 3,
        textAnchor: "start",
        text: (d: TriedCell) => String(d.n),
        fill: INK,
        stroke: "var(--paper)",
        strokeWidth: 4,
        fontWeight: 650,
      }),
      Plot.text(setups, {
        y: (d: string) => d,
        frameAnchor: "left",
        text: (d: string) => d,
        textAnchor: "start",
        dy: -18,
        fill: SOFT,
        lineWidth: (width - 40) / 13,
        textOverflow: "ellipsis",
      }),
    ],
  };
}
