/** Rows of the tuning charts, made from what tuning gives. Pure. */
import type { CalibrationView, ChangeView } from "../../engine/learn/tuning.js";
import { percent } from "../bench/format.js";
import { tableOf, type FigureTable } from "./figure.js";

export type Figure = ChangeView["figure"];

export interface TunedRow {
  id: string;
  name: string;
  when: "before" | "after";
  group: string;
  value: number;
  low: number;
  high: number;
  tickets: number;
}

/** Two rows for each of the figures of one kind, largest after tuning first. */
export function tunedRows(changes: readonly ChangeView[], figure: Figure, most: number): TunedRow[] {
  return changes
    .filter((c) => c.figure === figure)
    .sort((x, y) => y.after.value - x.after.value)
    .slice(0, most)
    .flatMap(({ of, name, about, group, tickets, before, after }) => {
      const row = {
        id: `${of} ${about ?? ""}`,
        name: about === null ? name : `${name}, ${about}`,
        group,
        tickets,
      };
      return [
        { ...row, when: "before" as const, ...before },
        { ...row, when: "after" as const, ...after },
      ];
    });
}

/** A chance in per cent, minutes as they are. */
export const saidOf =
  (figure: Figure) =>
  (x: number): string =>
    figure === "minutes" ? `${x.toFixed(1)} min` : x < 0.0995 ? `${(100 * x).toFixed(1)} %` : percent(x);

/** The same at a round figure of the scale: no more digits than it has, and minutes bare, as the first stands at the edge. */
export const tickOf =
  (figure: Figure) =>
  (x: number): string =>
    figure === "minutes" ? `${Number(x.toFixed(1))}` : `${Number((100 * x).toFixed(3))} %`;

export function tunedTable(rows: readonly TunedRow[], figure: Figure, caption: string): FigureTable {
  const say = saidOf(figure);
  return tableOf(caption, rows, [
    { title: "What", of: (d) => d.name },
    { title: "When", of: (d) => d.when },
    { title: "Value", of: (d) => d.value, say },
    { title: "5 %", of: (d) => d.low, say },
    { title: "95 %", of: (d) => d.high, say },
    { title: "Tickets", of: (d) => d.tickets, say: (n) => n.toFixed(n % 1 === 0 ? 0 : 1) },
  ]);
}

export interface ReliabilityRow {
  when: "before" | "after";
  forecasts: number;
  forecast: number;
  happened: number;
  low: number;
  high: number;
}

export const reliabilityRows = ({ before, after }: CalibrationView): ReliabilityRow[] => [
  ...before.bins.map((bin) => ({ when: "before" as const, ...bin })),
  ...after.bins.map((bin) => ({ when: "after" as const, ...bin })),
];

export const reliabilityTable = (rows: readonly ReliabilityRow[]): FigureTable =>
  tableOf("Chances said, and how often it was so, on tickets left out", rows, [
    { title: "When", of: (d) => d.when },
    { title: "Chances said", of: (d) => d.forecasts, say: (n) => n.toFixed(0) },
    { title: "Said", of: (d) => d.forecast, say: percent },
    { title: "Was so", of: (d) => d.happened, say: percent },
    { title: "5 %", of: (d) => d.low, say: percent },
    { title: "95 %", of: (d) => d.high, say: percent },
  ]);
