/** Where a reading lies in its tolerance band. Pure. */
import type { Reading } from "../../engine/catalog/schema.js";

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

export function bandScale(reading: Reading | undefined, value: number | string): BandScale {
  const text = typeof value === "number" && reading ? `${value} ${reading.unit}` : String(value);
  const nothing = { text, verdict: "", inside: true, at: null, low: 0, high: 0 };
  const band = reading?.band;
  if (!reading || !band || typeof value !== "number" || !Number.isFinite(value)) return nothing;
  const off = value < band.low ? band.low - value : value > band.high ? value - band.high : 0;
  const side = value < band.low ? "below" : "above";
  const range = `${short(band.low)}–${short(band.high)} ${reading.unit}`;
  const verdict = off === 0 ? `in band ${range}` : `${short(off)} ${reading.unit} ${side} band ${range}`;
  const margin = 0.6 * (band.high - band.low);
  const from = Math.min(band.low - margin, value);
  const to = Math.max(band.high + margin, value);
  const place = (x: number) => (x - from) / (to - from);
  return { text, verdict, inside: off === 0, at: place(value), low: place(band.low), high: place(band.high) };
}
