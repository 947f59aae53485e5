/** A drawing that stands alone: what it took from the page's style sheet is written into it. Pure. */

const HATCH =
  '<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">' +
  '<rect width="6" height="6" fill="var(--paper)"/><rect width="3" height="6" fill="var(--none)"/></pattern>';

/**
 * @param svg      the text of an SVG element
 * @param valueOf  a custom property of the page, such as `--ink`; "" where there is none
 */
export function standalone(svg: string, valueOf: (name: string) => string): string {
  const start = svg.indexOf(">") + 1;
  const paper = '<rect width="100%" height="100%" fill="var(--paper)"/>';
  const whole = `${svg.slice(0, start)}<defs>${HATCH}</defs>${paper}${svg.slice(start)}`;
  return whole.replace(/var\((--[\w-]+)\)/g, (_, name: string) => valueOf(name).trim() || "currentColor");
}
