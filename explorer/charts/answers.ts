import * as Plot from "@observablehq/plot";
import { percent } from "../bench/format.js";
import type { AnswerRow } from "./answer-rows.js";
import { hue, INK, LINE, SOFT } from "./palette.js";

const PITCH = 34;
const RIGHT = 104;

/** Under each answer the suspects it moves: an arrow from the chance now (open) to the chance then (filled). */
export function answersChart(rows: readonly AnswerRow[], width: number): Plot.PlotOptions {
  const left = Math.min(190, 0.44 * width);
  const heads = rows.filter((row) => row.effect === null);
  const moves = rows.flatMap(({ id, effect }) => (effect ? [{ id, ...effect }] : []));
  type Move = (typeof moves)[number];
  const tone = (d: Move) => hue(d.group);
  const name = { y: "id", frameAnchor: "left", textAnchor: "start" } as const;
  return {
    width,
    height: rows.length * PITCH + 6,
    marginLeft: left,
    marginRight: RIGHT,
    marginTop: 0,
    marginBottom: 4,
    ariaLabel: "What every answer would do to the suspects; the same figures stand in the table below",
    style: { fontSize: "13.5px", background: "none", color: INK },
    x: { domain: [0, 1], axis: null },
    y: { type: "band", domain: rows.map((row) => row.id), axis: null, padding: 0 },
    color: { type: "identity" },
    marks: [
      Plot.ruleY(moves, { y: "id", x1: 0, x2: 1, stroke: LINE, strokeWidth: 5, strokeLinecap: "round" }),
      Plot.link(moves, { x1: "before", x2: "after", y: "id", stroke: INK, strokeWidth: 2 }),
      Plot.dot(moves, { x: "before", y: "id", r: 4.5, fill: "var(--paper)", stroke: SOFT, strokeWidth: 1.5 }),
      Plot.dot(moves, { x: "after", y: "id", r: 5.5, fill: tone, stroke: INK, strokeWidth: 1 }),
      Plot.text(moves, {
        ...name,
        text: "name",
        dx: -left,
        lineWidth: (left - 6) / 12.5,
        fill: INK,
        fontSize: 12.5,
      }),
      Plot.text(moves, {
        y: "id",
        frameAnchor: "right",
        textAnchor: "end",
        dx: RIGHT,
        text: (d: Move) => `${percent(d.before)} → ${percent(d.after)}`,
        fill: INK,
        fontWeight: 600,
      }),
      Plot.text(heads, {
        ...name,
        text: (d: AnswerRow) => `${percent(d.chance)} likely: ${d.answer}`, // cut off at its end, where it is long
        dx: -left,
        dy: 5,
        fill: INK,
        fontWeight: 700,
        lineWidth: width / 16,
        textOverflow: "ellipsis",
      }),
    ],
  };
}
