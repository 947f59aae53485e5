/** A code as a camera's picture: each square so many pixels wide, a quiet border of four squares. */
import type { Squares } from "../../explorer/carry/squares.js";

export function picture(
  { size, isDark }: Squares,
  wide: number,
): { pixels: Uint8ClampedArray; side: number } {
  const side = (size + 8) * wide;
  const pixels = new Uint8ClampedArray(4 * side * side).fill(255);
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++) {
      const [row, column] = [Math.floor(y / wide) - 4, Math.floor(x / wide) - 4];
      const inside = row >= 0 && column >= 0 && row < size && column < size;
      if (inside && isDark(row, column)) pixels.fill(0, 4 * (y * side + x), 4 * (y * side + x) + 3);
    }
  return { pixels, side };
}
