import * as Plot from "@observablehq/plot";
import { decibans, percent } from "../bench/format.js";
import { chanceAt, type LedgerRow } from "./ledger-rows.js";
import { INK, LINE, SOFT } from "./palette.js";

const PITCH = 40;
const BAR = { insetTop: 21, insetBottom: 7 };
const MIDDLE = (BAR.insetTop - BAR.insetBottom) / 2;
/** Decibans that are marked, with the chance they stand for. */
const MARKS = [-60, -40, -30, -20, -10, 0, 10, 20, 30, 40, 60];

const moved = (weight: number) =>
  Math.abs(weight) < 0.05 ? "0 db" : `${weight > 0 ? "▲" : "▼"} ${decibans(weight)}`;

/** One suspect's ledger: each entry moves the odds from where the one before left them; filled for, open against. */
export function ledger(rows: readonly LedgerRow[], width: number): Plot.PlotOptions {
  const ends = rows.flatMap((row) => [row.from, row.to]);
  const [low, high] = [Math.min(-10, ...ends) - 6, Math.max(3, ...ends) + 8];
  const marks = MARKS.filter((mark) => mark >= low && mark <= high);
  const steps = rows.filter((row) => row.weight !== null);
  const still = rows.filter((row) => row.weight === null);
  return {
    width,
    height: rows.length * PITCH + 44,
    marginLeft: 8,
    marginRight: 8,
    marginTop: 22,
    marginBottom: 22,
    ariaLabel:
      "How each entry moved the odds of one suspect, in decibans; the figures stand in the table below",
    style: { fontSize: "13px", background: "none", color: INK },
    x: { domain: [low, high], label: null, axis: null },
    y: { domain: rows.map((row) => row.id), axis: null, padding: 0 },
    color: { type: "identity" },
    marks: [
      Plot.gridX(marks, { stroke: LINE, strokeOpacity: 1 }),
      Plot.axisX(marks, {
        anchor: "top",
        tickFormat: (d: number) => percent(chanceAt(d)),
        tickSize: 0,
        fill: SOFT,
      }),
      Plot.axisX(marks, {
        anchor: "bottom",
        tickFormat: (d: number) => `${d} dban`.replace("-", "−"),
        tickSize: 0,
        fill: SOFT,
      }),
      Plot.rect(steps, {
        x1: (d: LedgerRow) => Math.min(d.from, d.to),
        x2: (d: LedgerRow) => Math.max(d.from, d.to),
        y: "id",
        fill: (d: LedgerRow) => (d.weight! > 0 ? "var(--good)" : "var(--paper)"),
        stroke: (d: LedgerRow) => (d.weight! > 0 ? "var(--good)" : "var(--bad)"),
        strokeWidth: 1.75,
        ...BAR,
      }),
      Plot.tickX(still, {
        x: "to",
        y: "id",
        stroke: INK,
        strokeWidth: 4,
        insetTop: BAR.insetTop - 2,
        insetBottom: BAR.insetBottom - 2,
      }),
      Plot.text(steps, {
        x: (d: LedgerRow) => Math.max(d.from, d.to),
        y: "id",
        text: (d: LedgerRow) => moved(d.weight!),
        textAnchor: "start",
        dx: 6,
        dy: MIDDLE,
        fill: INK,
        stroke: "var(--paper)",
        strokeWidth: 3,
        fontWeight: 650,
      }),
      Plot.text(still, {
        x: "to",
        y: "id",
        text: (d: LedgerRow) => percent(chanceAt(d.to)),
        textAnchor: "start",
        dx: 8,
        dy: MIDDLE,
        fill: INK,
        fontWeight: 650,
      }),
      Plot.text(rows, {
        x: low,
        y: "id",
        text: "label",
        textAnchor: "start",
        dy: -8,
        fill: INK,
        stroke: "var(--paper)",
        strokeWidth: 3,
        lineWidth: (width - 16) / 13,
        textOverflow: "ellipsis",
      }),
    ],
  };
}
