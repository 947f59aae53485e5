/** Plain-text tables and paragraphs that fit a page of 100 columns. */

export const PAGE = 100;

export interface Column {
  title: string;
  align?: "left" | "right";
  /** longer cells go on in the next line */
  max?: number;
}

/** Aligned columns, two spaces apart, no trailing space; the heading row only where some column has a title. */
export function table(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  indent = "  ",
): string {
  const titles = columns.map((c) => c.title);
  const cells = (titles.some((title) => title !== "") ? [titles, ...rows] : rows).map((row) =>
    columns.map((column, j) => broken(row[j] ?? "", column.max ?? PAGE)),
  );
  const widths = columns.map((_, j) => Math.max(0, ...cells.flatMap((row) => row[j]!.map(width))));
  return cells
    .flatMap((row) =>
      Array.from({ length: Math.max(...row.map((cell) => cell.length)) }, (_, i) =>
        row.map((cell) => cell[i] ?? ""),
      ),
    )
    .map(
      (line) =>
        indent + line.map((cell, j) => padded(cell, widths[j]!, columns[j]!.align ?? "left")).join("  "),
    )
    .map((line) => line.trimEnd() + "\n")
    .join("");
}

/** A paragraph broken at spaces; lines after the first hang by `hang`. */
export const paragraph = (text: string, indent = "  ", hang = indent): string =>
  broken(text, PAGE - width(hang))
    .map((line, i) => `${i === 0 ? indent : hang}${line}`.trimEnd() + "\n")
    .join("");

/** Lines of at most `max` columns, broken at spaces; a word that is longer is broken where it must be. */
function broken(text: string, max: number): string[] {
  const lines = [""];
  for (let word of text.split(/\s+/).filter((w) => w !== "")) {
    const line = lines.at(-1)!;
    if (line !== "" && width(line) + 1 + width(word) <= max) {
      lines[lines.length - 1] = `${line} ${word}`;
      continue;
    }
    if (line !== "") lines.push("");
    for (; width(word) > max; lines.push("")) {
      const head = headOf(word, max);
      lines[lines.length - 1] = head;
      word = word.slice(head.length);
    }
    lines[lines.length - 1] = word;
  }
  return lines;
}

/** The longest beginning that fits; at least one character, so that breaking comes to an end. */
function headOf(word: string, max: number): string {
  let head = "";
  let columns = 0;
  for (const character of word) {
    columns += width(character);
    if (head !== "" && columns > max) break;
    head += character;
  }
  return head;
}

/** Characters as a terminal counts them: marks that combine take no place, wide ones take two. */
export function width(text: string): number {
  let sum = 0;
  for (const character of text) sum += /\p{M}/u.test(character) ? 0 : WIDE.test(character) ? 2 : 1;
  return sum;
}

const WIDE =
  /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1faff}]/u;

function padded(text: string, to: number, align: "left" | "right"): string {
  const space = " ".repeat(Math.max(0, to - width(text)));
  return align === "right" ? space + text : text + space;
}

/** A bar of `cells` characters: full up to `p`, shaded on to `high`. */
export function bar(p: number, high: number | null, cells: number): string {
  const full = Math.round(p * cells);
  const shaded = Math.max(0, Math.round((high ?? p) * cells) - full);
  return "█".repeat(full) + "░".repeat(shaded) + "·".repeat(cells - full - shaded);
}
