/** What stands behind a picture: the table that is read out, copied and saved. */
import { csvFormatRows } from "d3";
import { guarded } from "../../engine/csv.js";

export type Value = string | number | null;

export interface FigureTable {
  /** what the figures are, in a few words */
  caption: string;
  columns: { title: string; numeric: boolean }[];
  /** the value for a file, and how a person reads it */
  rows: { value: Value; said: string }[][];
}

export interface Column<R> {
  title: string;
  of: (row: R) => Value;
  /** how a number is read; without it the column is text */
  say?: (value: number) => string;
}

export const tableOf = <R>(
  caption: string,
  rows: readonly R[],
  columns: readonly Column<R>[],
): FigureTable => ({
  caption,
  columns: columns.map(({ title, say }) => ({ title, numeric: say !== undefined })),
  rows: rows.map((row) =>
    columns.map(({ of, say }) => {
      const value = of(row);
      const said = typeof value === "number" && say ? say(value) : String(value ?? "");
      return { value, said };
    }),
  ),
});

const cellOf = (value: Value): string => String(guarded(value) ?? "");

/** Comma-separated, one line for the titles; what is not known is empty. */
export const csvOf = ({ columns, rows }: FigureTable): string =>
  csvFormatRows([
    columns.map(({ title }) => cellOf(title)),
    ...rows.map((row) => row.map(({ value }) => cellOf(value))),
  ]);
