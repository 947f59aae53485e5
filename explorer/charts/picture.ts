/** A plot as the page shows it, and as a file that stands alone: of the charts, only this makes elements. */
import * as Plot from "@observablehq/plot";
import { standalone } from "./standalone.js";

export interface Picture {
  svg: Element;
  /** its few rules, which the page has already: with one style sheet more every element would be asked for its style again */
  style: Element | null;
}

export function pictureOf(plot: Plot.PlotOptions): Picture {
  const svg = Plot.plot(plot);
  // one picture with one name: the figures behind it stand in a table
  svg.setAttribute("role", "img");
  for (const mark of svg.querySelectorAll("g[aria-label]")) mark.removeAttribute("aria-label");
  const style = svg.querySelector("style");
  style?.remove();
  return { svg, style };
}

/** The text of an SVG file, in the colours that the page has now. */
export function fileOf({ svg, style }: Picture): string {
  const whole = svg.cloneNode(true) as Element;
  if (style) whole.prepend(style.cloneNode(true));
  const root = getComputedStyle(document.documentElement);
  return standalone(new XMLSerializer().serializeToString(whole), (name) => root.getPropertyValue(name));
}
