/** Where a reading lies in its tolerance band. Pure. */
import type { Reading } from "../../../engine/catalog/schema.js";

export interface BandScale {
  /** the reading with its unit */
  text: string;
  /** "in band 4.75–5.25 V", "0.12 V below band …" or "" where there is no band or no number */
  verdict: string;
  inside: boolean;
  /** on a scale of 0 to 1 that shows the band and the reading; null where it cannot be drawn */
  at: number | null;
  low: number;
  high: number;
}

const short = (value: number) => String(Number(value.toPrecision(4)));

/** The catalog's unit as it is written: degC is a name for calculating with. */
export const unitName = (unit: string): string => (unit === "degC" ? "°C" : unit);

/** The number of a reading in the catalog's unit; where it is written in another, what converts it is fetched first. */
export function numberIn(value: number | string, unit: string): number | null | Promise<number | null> {
  if (typeof value === "number") return Number.isFinite(value) ? value : null;
  const text = value.trim();
  const bare = text.endsWith(unit) ? text.slice(0, -unit.length).trim() : "";
  if (bare !== "" && Number.isFinite(Number(bare))) return Number(bare);
  return /\d/.test(text) ? converted(text, unit) : null;
}

/** mathjs comes with it, which the page has no other use for; where it cannot be had, the reading stands as it is written. */
async function converted(text: string, unit: string): Promise<number | null> {
  const units = await import("../../../engine/ticket/units.js").catch(() => null);
  const number = units?.readingValue(text, unit) ?? null;
  return number === null ? null : Number(number.toPrecision(12)); // 3300 mV are 3.3 V and no hair more
}

/** @param number  the reading in the catalog's unit, null where it is none */
export function bandScale(
  reading: Reading | undefined,
  value: number | string,
  number: number | null,
): BandScale {
  const unit = unitName(reading?.unit ?? "");
  const text = typeof value === "number" && unit !== "" ? `${value} ${unit}` : String(value);
  const band = reading?.band;
  if (!band || number === null) return { text, verdict: "", inside: true, at: null, low: 0, high: 0 };
  const off = number < band.low ? band.low - number : number > band.high ? number - band.high : 0;
  const side = number < band.low ? "below" : "above";
  const range = `${short(band.low)}–${short(band.high)} ${unit}`;
  const verdict = off === 0 ? `in band ${range}` : `${short(off)} ${unit} ${side} band ${range}`;
  const margin = 0.6 * (band.high - band.low);
  const from = Math.min(band.low - margin, number);
  const to = Math.max(band.high + margin, number);
  const place = (x: number) => (x - from) / (to - from);
  return {
    text,
    verdict,
    inside: off === 0,
    at: place(number),
    low: place(band.low),
    high: place(band.high),
  };
}
