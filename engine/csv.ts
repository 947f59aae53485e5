/**
 * Text on its way into a CSV file. What a spreadsheet would run gets an apostrophe: names and rows may come from a stranger.
 * papaparse's own guard overlooks a formula with a line break in it, and signs of double width.
 */
export const guarded = <V extends string | number | null>(cell: V): V | string =>
  typeof cell === "string" && /^[=+\-@\t\r\n＝＋－＠]/.test(cell) ? `'${cell}` : cell;
