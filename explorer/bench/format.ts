/** Figures as a person reads them. */

/** 0.684 → "68 %"; never "0 %" or "100 %" for what is only near it. */
export function percent(p: number): string {
  if (p > 0 && p < 0.005) return "<1 %";
  if (p < 1 && p > 0.995) return ">99 %";
  return `${Math.round(100 * p)} %`;
}

/** 0.48, 0.74 → "48–74 %" */
export function percentRange(low: number | null, high: number | null): string {
  if (low === null || high === null) return "";
  const [from, to] = [Math.round(100 * low), Math.round(100 * high)];
  return from === to ? `about ${to} %` : `${from}–${to} %`;
}

/** 8.43 → "+8 db", 0.31 → "+0.3 db" (decibans) */
export function decibans(weight: number): string {
  const digits = Math.abs(weight) < 1 ? 1 : 0;
  return `${weight < 0 ? "−" : "+"}${Math.abs(weight).toFixed(digits)} dban`;
}

/** 22.4 → "22 min", 150 → "2 h 30" */
export function minutes(value: number): string {
  if (value < 10 && value % 1 !== 0) return `${value.toFixed(1)} min`;
  const whole = Math.round(value);
  return whole < 120 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")}`;
}

/** Two digits that mean something: 0.0321 → "0.032" */
export const figure = (value: number): string => (value === 0 ? "0" : value.toPrecision(2));

let currency: string | null = null;

/** What money is shown in, ISO 4217; null: figures stand bare. Said where a ticket is opened or the shop's settings change. */
export const useCurrency = (code: string | null): void => void (currency = code);

/** 4.56 → "€4.56", 123.4 → "€123"; without a currency "4.6" and "123", and 5 stands whole: "5" */
export function money(value: number): string {
  const small = Math.abs(value) < 10;
  if (currency === null) return String(Number(value.toFixed(small ? 1 : 0))); // as a number it sheds ".0"
  const digits = small ? {} : { maximumFractionDigits: 0 };
  return new Intl.NumberFormat("en-GB", { style: "currency", currency, ...digits }).format(value);
}

/** seconds → "3:07" */
export const clock = (seconds: number): string =>
  `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

// made once: a record of hundreds of entries asks for as many at every press, and making one is what takes the time
const TIME = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit" });
const DAY = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });

/** ISO 8601 → "08:10" in local time; what is not a time is shown as it stands. */
export function timeOfDay(at: string | undefined): string {
  if (at === undefined) return "";
  const date = new Date(at);
  if (Number.isNaN(date.getTime()) || !at.includes("T")) return at.includes("T") ? at : "";
  return TIME.format(date);
}

/** ISO 8601 → "Tue 4 Mar" in local time. */
export function dayOf(at: string | undefined): string {
  if (at === undefined) return "";
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) return "";
  return DAY.format(date);
}

/** A fraction as a bench says it: 0.33 → "about 1 start in 3" */
export function oneIn(rate: number): string {
  if (rate >= 0.85) return "nearly every start";
  if (rate >= 0.6) return `${Math.round(10 * rate)} starts in 10`;
  if (rate < 0.005) return "fewer than 1 start in 200";
  return `about 1 start in ${Math.round(1 / rate)}`;
}

/** "a, b and c" */
export function listed(names: readonly string[], last = "and"): string {
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} ${last} ${names.at(-1)}`;
}

/** A name as it stands inside a sentence: "Front socket" → "front socket", but "USB" stays. */
export const inSentence = (name: string): string =>
  /^[A-Z][a-z]/.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;

/** First letter large, as a heading wants it. */
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
