/** The dark squares of a code, as a two-dimensional barcode (ISO/IEC 18004) has them. */
import qrcode from "qrcode-generator";

export interface Squares {
  /** squares to a side, without the quiet border of four */
  size: number;
  isDark: (row: number, column: number) => boolean;
}

export function squaresOf(frame: Uint8Array): Squares {
  const code = qrcode(0, "L"); // the smallest that holds it; a screen needs little correction
  code.addData(String.fromCharCode(...frame), "Byte");
  code.make();
  return { size: code.getModuleCount(), isDark: (row, column) => code.isDark(row, column) };
}

/** One path for all of them, rows joined. */
export function pathOf({ size, isDark }: Squares): string {
  let path = "";
  for (let row = 0; row < size; row++)
    for (let column = 0; column < size; column++) {
      let run = 0;
      while (column + run < size && isDark(row, column + run)) run++;
      if (run > 0) path += `M${column} ${row}h${run}v1h-${run}z`;
      column += run;
    }
  return path;
}
