import * as Plot from "@observablehq/plot";
import { INK, SOFT } from "./palette.js";
import { ENDINGS, type RaceEnding } from "./race-rows.js";

const [ROW, TOP, BOTTOM] = [46, 6, 26];
const FILLS = ["var(--good)", "var(--supply)", "var(--contact)", "var(--firmware)", "url(#hatch)"];

/** How each strategy's tickets ended, one bar of shares for each. */
export function raceEndingsChart(endings: readonly RaceEnding[], width: number): Plot.PlotOptions {
  const strategies = [...new Set(endings.map((e) => e.strategy))];
  const said = (e: RaceEnding) => (e.share >= 0.06 ? `${Math.round(100 * e.share)} %` : "");
  return {
    width,
    height: Math.max(1, strategies.length) * ROW + TOP + BOTTOM,
    marginLeft: 12,
    marginRight: 16,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: "How each strategy's tickets ended; the same figures stand in the table below",
    style: { fontSize: "12px", background: "none", color: INK },
    x: { domain: [0, 1], label: null },
    y: { domain: strategies, axis: null, paddingInner: 0.45 },
    color: { domain: [...ENDINGS], range: FILLS },
    marks: [
      Plot.axisX([0, 0.5, 1], { tickFormat: (d: number) => `${100 * d} %`, tickSize: 0, fill: SOFT }),
      Plot.barX(
        endings,
        Plot.stackX(
          { order: [...ENDINGS] },
          { x: "share", y: "strategy", fill: "ending", z: "ending", stroke: INK, strokeWidth: 0.6 },
        ),
      ),
      Plot.text(
        endings,
        Plot.stackX(
          { order: [...ENDINGS] },
          {
            x: "share",
            y: "strategy",
            z: "ending",
            text: said,
            fill: INK,
            stroke: "var(--paper)",
            strokeWidth: 3,
            fontWeight: 650,
          },
        ),
      ),
      Plot.text(strategies, {
        x: 0,
        y: (d: string) => d,
        text: (d: string) => d,
        textAnchor: "start",
        dy: -21,
        fill: INK,
        fontWeight: 600,
      }),
    ],
  };
}

/** How each ending is drawn, for the key beside it. */
export const endingFill = (k: number): string => FILLS[k]!;
