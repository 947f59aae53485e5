import * as Plot from "@observablehq/plot";
import { INK, LINE, SOFT } from "./palette.js";
import type { RaceBar } from "./race-rows.js";

const [ROW, TOP, BOTTOM] = [74, 18, 34];

/** One histogram for each strategy, on the same scales, with a mark at each mean. */
export function raceSpread(
  bars: readonly RaceBar[],
  means: readonly { strategy: string; mean: number }[],
  label: string,
  width: number,
): Plot.PlotOptions {
  const strategies = means.map((m) => m.strategy);
  return {
    width,
    height: Math.max(1, strategies.length) * ROW + TOP + BOTTOM,
    marginLeft: 12,
    marginRight: 16,
    marginTop: TOP,
    marginBottom: BOTTOM,
    ariaLabel: `${label}: how often each strategy's tickets came to how much; the same figures stand in the table below`,
    style: { fontSize: "12px", background: "none", color: INK },
    x: { label: null },
    y: { axis: null, domain: [0, Math.max(0.05, ...bars.map((bar) => bar.share))] },
    fy: { domain: strategies, axis: null, padding: 0.32 },
    marks: [
      Plot.axisX({
        ticks: Math.max(3, Math.floor(width / 80)),
        tickSize: 0,
        fill: SOFT,
        label,
        labelAnchor: "center",
        labelArrow: "none",
      }),
      Plot.rectY(bars, {
        x1: "from",
        x2: "to",
        y: "share",
        fy: "strategy",
        fill: "var(--part)",
        insetRight: 0.5,
      }),
      Plot.ruleY([0], { stroke: LINE }),
      Plot.text(
        bars.filter((bar) => bar.orMore),
        { x: "to", y: "share", fy: "strategy", text: () => "or more", textAnchor: "end", dy: -7, fill: SOFT },
      ),
      Plot.tickX(means, { x: "mean", fy: "strategy", stroke: INK, strokeWidth: 2.25 }),
      Plot.text(means, {
        fy: "strategy",
        text: "strategy",
        frameAnchor: "top-left",
        dy: -15,
        fill: INK,
        fontWeight: 600,
        lineWidth: (width - 30) / 12,
        textOverflow: "ellipsis",
      }),
    ],
  };
}
